" What ALE needs to know of Phasewright, for all its kinds of file.

" The program; set g:phasewright_executable to another.
function! phasewright#ale#Executable(buffer) abort
  return get(g:, 'phasewright_executable', 'phasewright')
endfunction

" The folder with the settings or the ingredients, else the file's own.
function! phasewright#ale#Root(buffer) abort
  let l:folder = fnamemodify(bufname(a:buffer), ':p:h')
  let l:settings = findfile('phasewright.toml', l:folder . ';')
  if !empty(l:settings)
    return fnamemodify(l:settings, ':p:h')
  endif
  let l:own = finddir('ingredients', l:folder . ';')
  return empty(l:own) ? l:folder : fnamemodify(l:own, ':p:h:h')
endfunction

function! phasewright#ale#Define(language) abort
  call ale#linter#Define(a:language, {
        \ 'name': 'phasewright',
        \ 'lsp': 'stdio',
        \ 'language': a:language,
        \ 'executable': function('phasewright#ale#Executable'),
        \ 'command': '%e serve',
        \ 'project_root': function('phasewright#ale#Root'),
        \ })
endfunction

" Lays the file out when you call :ALEFix.
function! phasewright#ale#Format(buffer) abort
  return {'command': ale#Escape(phasewright#ale#Executable(a:buffer)) . ' format -'}
endfunction
