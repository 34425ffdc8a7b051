" Charts of linenleaf. The notation is told in grammar/notation.md.
if exists('b:current_syntax')
  finish
endif

syntax case match
syntax iskeyword @,48-57,192-255,-,_

" Of two items that fit at one place the one told later wins.

syntax match linenWord /\<\%(subtitle\|designer\|edition\|language\|story\|section\|cover\|picture\|original\|needs\|rights\|thanks\|about\|level\|mark\|address\|errata\|gutter\|colour\|margin\|also\|metres\|yards\|strands\|put-up\|kind\|first\|each\|last\|turn\|second\|wound\|needleful\|tail\|carry\|slip\|bare\|float\|method\|reserve\|line\|knot\|bead\|band\|place\|border\|text\|withdrawn\|orientation\|overlap\|break\|shows\|corners\|landmark\|place\|date\|size\|materials\|keeper\|from\|stranded\|flat\|perle\|metallic\|bead\|overdyed\|crosses\|rows\|each\|wide\|corner\|columns\|to\|portrait\|landscape\|before\|row\|column\|at\|height\|inset\|by\|mirrored\|left-right\|top-bottom\|both\|turned\|left\|right\|half\|in\|centre\|below\|above\|beside\|gap\|of\|filling\|area\|within\|round\|join\|middle\|top\|bottom\|cut\|aligned\|centred\|up\|down\|over\|reach\|step\|per\|cross\|stretch\|along\|bars\|on\|lines\|journeys\|laid\|pulled\|keeps\|withdrawn\|chart\|spread\|spacing\|space\|leading\|strands\|symmetric\|half-turn\|quarter-turn\|replacing\|clearing\|changeable\|named\|with\|letters\|words\|turn\|printed\|note\|cm\|mm\|high\|fitted\|stock\|as\|full\|upright\|back\|straight\|knot\|quarter\|three-quarter\|second\|top-left\|top-right\|bottom-left\|bottom-right\|strands\?\|linen\|evenweave\|canvas\|aida\|blockweave\|x\)\>/

syntax match linenNumber /\%(\k\|[.]\)\@1<!-\?\d\+\%(\.\d\+\)\?\%(-\d\d-\d\d\|,\s*-\?\d\+\%(\.\d\+\)\?\)\?\%([[:alpha:]]\)\@!/

" A line that begins with no known word places a motif.
syntax match linenName /^\s*\zs\%(\%(subtitle\|designer\|edition\|language\|story\|section\|cover\|picture\|original\|needs\|rights\|thanks\|about\|level\|mark\|address\|errata\|gutter\|colour\|margin\|also\|metres\|yards\|strands\|put-up\|kind\|first\|each\|last\|turn\|second\|wound\|needleful\|tail\|carry\|slip\|bare\|float\|method\|reserve\|line\|knot\|bead\|band\|place\|border\|text\|withdrawn\|orientation\|overlap\|break\|shows\|corners\|landmark\)\>\)\@![[:alpha:]]\k\+/

" Words that begin a block.
syntax match linenHead /^\s*\zs\%(linen\|use\|booklet\|fabric\|range\|stitch\|key\|working\|thread\|motif\|alphabet\|chart\|pages\|note\|departure\|inferred\|kept\|colourway\|photograph\|revision\|expect\)\>/

" Names and files behind the words that make or use them.
syntax match linenName /\%(^\s*\%(range\|stitch\|motif\|alphabet\|colourway\|band\|place\|border\)\s\+\|\<\%(corner\|in\|of\|within\|round\|centre\|join\|changeable\|named\|printed\|stock\)\s\+\)\@80<=[[:alpha:]]\k\+/
syntax match linenPath /\%(^\s*\%(use\|photograph\|story\|cover\|picture\|mark\)\s\+\|^\s*\%(linen\|use\|booklet\|fabric\|range\|stitch\|key\|working\|thread\|motif\|alphabet\|chart\|pages\|note\|departure\|inferred\|kept\|colourway\|photograph\|revision\|expect\)\s\+\k\+\s\+\%(from\)\s\+\|^\s*\%(section\)\s\+"[^"]*"\s\+\)\@300<=\%(\%(corner\|in\|of\|within\|round\|centre\|join\|changeable\|named\|printed\|stock\)\s\+[[:alpha:]]\)\@![^[:space:]"#|]\+/

" The symbol at the head of a key line, before a range and a code or a colour, and behind a word.
syntax match linenSymbol /^\s*\zs\%(\%(linen\|use\|booklet\|fabric\|range\|stitch\|key\|working\|thread\|motif\|alphabet\|chart\|pages\|note\|departure\|inferred\|kept\|colourway\|photograph\|revision\|expect\|subtitle\|designer\|edition\|language\|story\|section\|cover\|picture\|original\|needs\|rights\|thanks\|about\|level\|mark\|address\|errata\|gutter\|colour\|margin\|also\|metres\|yards\|strands\|put-up\|kind\|first\|each\|last\|turn\|second\|wound\|needleful\|tail\|carry\|slip\|bare\|float\|method\|reserve\|line\|knot\|bead\|band\|place\|border\|text\|withdrawn\|orientation\|overlap\|break\|shows\|corners\|landmark\)\>\)\@!\%(\k\{2,}\|[^[:space:].|#"]\)\ze\s\+\%(#\x\{6}\>\|\%(\%(place\|date\|size\|materials\|keeper\|from\|stranded\|flat\|perle\|metallic\|bead\|overdyed\|crosses\|rows\|each\|wide\|corner\|columns\|to\|portrait\|landscape\|before\|row\|column\|at\|height\|inset\|by\|mirrored\|left-right\|top-bottom\|both\|turned\|left\|right\|half\|in\|centre\|below\|above\|beside\|gap\|of\|filling\|area\|within\|round\|join\|middle\|top\|bottom\|cut\|aligned\|centred\|up\|down\|over\|reach\|step\|per\|cross\|stretch\|along\|bars\|on\|lines\|journeys\|laid\|pulled\|keeps\|withdrawn\|chart\|spread\|spacing\|space\|leading\|strands\|symmetric\|half-turn\|quarter-turn\|replacing\|clearing\|changeable\|named\|with\|letters\|words\|turn\|printed\|note\|cm\|mm\|high\|fitted\|stock\|as\|full\|upright\|back\|straight\|knot\|quarter\|three-quarter\|second\|top-left\|top-right\|bottom-left\|bottom-right\|strands\?\)\>\)\@![[:alpha:]]\k\+\s\+\w\)/
syntax match linenSymbol /\%(^\s*\%(line\|knot\|bead\|expect\)\s\+\)\@80<=\S\+/

syntax match linenComment /#.*$/ contains=@Spell
syntax match linenColour /\%(^\s*colour\s\+\|^\s*\%(\k\{2,}\|[^[:space:].|#"]\)\s\+\|\<with\s\+\|+\s\+\)\@80<=#\x\{6}\>/
syntax region linenText start=/"/ skip=/\\["\\]/ end=/"/ oneline contains=@Spell,linenEscape
syntax match linenEscape /\\["\\]/ contained

" Rows: bare fabric is faint, so that the picture shows.
syntax match linenLetter /^\s*\zs[^[:space:]|"#]\ze\s*|/
syntax match linenRow /|[^|]*|/ contains=linenBare
syntax match linenBare /[.|]/ contained

highlight default link linenHead Statement
highlight default link linenWord Keyword
highlight default link linenName Type
highlight default link linenPath Underlined
highlight default link linenSymbol Identifier
highlight default link linenNumber Number
highlight default link linenColour Constant
highlight default link linenComment Comment
highlight default link linenText String
highlight default link linenEscape SpecialChar
highlight default link linenLetter Identifier
highlight default link linenRow Special
highlight default linenBare ctermfg=Grey guifg=#a0a0a0

let b:current_syntax = 'linen'
