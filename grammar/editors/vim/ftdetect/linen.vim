autocmd BufRead,BufNewFile *.linen setfiletype linen
