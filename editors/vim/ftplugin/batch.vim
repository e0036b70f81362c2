runtime! ftplugin/formula.vim
