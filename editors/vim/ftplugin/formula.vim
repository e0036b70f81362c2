if exists('b:did_ftplugin') | finish | endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s comments=:#
setlocal expandtab shiftwidth=2 softtabstop=2 autoindent
setlocal fileencoding=utf-8
" Asked by name, so that it serves where ALE is loaded later.
setlocal omnifunc=ale#completion#OmniFunc

let b:ale_fixers = ['phasewright']
let b:undo_ftplugin = 'setlocal commentstring< comments< expandtab< shiftwidth< softtabstop< autoindent< fileencoding< omnifunc< | unlet! b:ale_fixers'
