if exists('b:did_ftplugin') | finish | endif
let b:did_ftplugin = 1

setlocal commentstring=#\ %s comments=:#
setlocal expandtab shiftwidth=2 softtabstop=2
setlocal fileencoding=utf-8

let b:undo_ftplugin = 'setlocal commentstring< comments< expandtab< shiftwidth< softtabstop< fileencoding< | delcommand -buffer Phasewright'

command! -buffer -nargs=1 -complete=customlist,PhasewrightPapers Phasewright lua require('phasewright').paper(<q-args>)
if !exists('*PhasewrightPapers')
  function PhasewrightPapers(lead, line, at) abort
    return filter(luaeval("require('phasewright').papers()"), 'stridx(v:val, a:lead) == 0')
  endfunction
endif
