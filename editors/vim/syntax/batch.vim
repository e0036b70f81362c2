if exists('b:current_syntax') | finish | endif
runtime! syntax/formula.vim
let b:current_syntax = 'batch'
