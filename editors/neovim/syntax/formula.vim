" Words by their look alone; the server's semantic tokens know more.
if exists('b:current_syntax') | finish | endif

syntax case ignore

syntax match formulaHeading /^\(formula\|phase\|premix\|method\|batch\|weighed\|log\|observations\|lot\)\>/ nextgroup=formulaLabel skipwhite
syntax match formulaLabel /[^"[:space:]]\+/ contained
syntax match formulaField /^\s\+\a\+\( \a\+\)*\ze:/
syntax match formulaUnit /%\|°\s\?[CF]\>/
syntax match formulaAmount /\<\d\+\([.,]\d\+\)\?\s\?\(%\|°\s\?[CF]\>\|\(g\|mg\|kg\|oz\|lb\|mL\|L\|fl oz\|tsp\|tbsp\|cups\?\|drops\|parts\|min\|h\|d\)\>\)/
syntax match formulaFill /\<q\.s\.\|\<qs\>\|\<balance\>/
syntax match formulaStep /^\s\+\(weigh\|slurry\|sprinkle\|hydrate\|dissolve\|melt\|grind\|sieve\|heat\|hold\|top up\|add\|pour\|blend\|stir\|homogenize\|neutralize\|thicken\|cool\|measure\|adjust\|fill\|mould\|rest\)\>\ze\(.*\d\s*%$\)\@!/
syntax region formulaName start=/"/ end=/"/ oneline
syntax match formulaComment /\(^\|\s\)#\(\d\)\@!.*$/ contains=formulaException
syntax match formulaException /except \S\+:/ contained
syntax region formulaNotes start=/^notes\>/ end=/^\ze\(formula\|phase\|premix\|method\|batch\|weighed\|log\|observations\|lot\)\>/ contains=formulaNotesHeading
syntax match formulaNotesHeading /^notes\>/ contained

highlight default link formulaHeading Keyword
highlight default link formulaNotesHeading Keyword
highlight default link formulaLabel Identifier
highlight default link formulaField Type
highlight default link formulaAmount Number
highlight default link formulaUnit Number
highlight default link formulaFill Constant
highlight default link formulaStep Statement
highlight default link formulaName String
highlight default link formulaComment Comment
highlight default link formulaException SpecialComment

let b:current_syntax = 'formula'
