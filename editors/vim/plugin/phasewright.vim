if exists('g:loaded_phasewright') | finish | endif
let g:loaded_phasewright = 1

" :ALEFix lays a file out; the name is looked up when it is called.
augroup phasewright
  autocmd!
  autocmd FileType formula,batch,stock silent! call ale#fix#registry#Add('phasewright', 'phasewright#ale#Format', ['formula', 'batch', 'stock'], 'Lay the file out.')
augroup END
