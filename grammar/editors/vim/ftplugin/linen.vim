" Charts of linenleaf: remarks begin with #, rows are never wrapped, `:make` checks the chart.
if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s comments=:# nowrap expandtab shiftwidth=2 softtabstop=2
setlocal makeprg=linenleaf\ check\ %:S
setlocal errorformat=%f:%l:%c:\ %trror:\ %m,%f:%l:%c:\ %tarning:\ %m,%f:%l:%c:\ %tint:\ %m,%-G%.%#
let b:undo_ftplugin = 'setlocal commentstring< comments< wrap< expandtab< shiftwidth<'
      \ . ' softtabstop< makeprg< errorformat<'
