autocmd BufRead,BufNewFile *.formula setfiletype formula
autocmd BufRead,BufNewFile *.batch setfiletype batch
autocmd BufRead,BufNewFile *.stock setfiletype stock
