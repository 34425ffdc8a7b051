" Writes the name of the item that each character of $CHART is shown as to $OUT, a line for a line.
set nocompatible encoding=utf-8
execute 'set runtimepath^=' . fnameescape($EDITORS . '/vim')
filetype plugin on
syntax on
execute 'edit' fnameescape($CHART)
let lines = []
for number in range(1, line('$'))
  let text = getline(number)
  let names = []
  for at in range(strchars(text))
    call add(names, synIDattr(synID(number, byteidxcomp(text, at) + 1, 1), 'name'))
  endfor
  call add(lines, json_encode(names))
endfor
call writefile(lines, $OUT)
qall!
