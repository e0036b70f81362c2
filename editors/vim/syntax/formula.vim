" Words by their look alone; the server's semantic tokens know more where the editor has them.
if exists('b:current_syntax') | finish | endif

syntax case ignore

syntax match formulaHeading /^\(formula\|phase\|premix\|method\|batch\|weighed\|log\|packed\|observations\|complaints\|lot\|ledger\)\>/ nextgroup=formulaLabel skipwhite
syntax match formulaLabel /[^"[:space:]]\+/ contained
syntax match formulaField /^\s\+\a\+\( \a\+\)*\ze:/
syntax match formulaUnit /%\|°\s\?[CF]\>/
syntax match formulaAmount /\<\d\+\([.,]\d\+\)\?\s\?\(%\|°\s\?[CF]\>\|\(g\|mg\|kg\|oz\|lb\|mL\|L\|fl oz\|tsp\|tbsp\|cups\?\|drops\|parts\|pieces\|min\|h\|d\)\>\)/
syntax match formulaDate /\<\d\{4}-\d\{2}-\d\{2}\>/
syntax match formulaFill /\<q\.s\.\|\<qs\>\|\<balance\>/
syntax match formulaStep /^\s\+\(weigh\|measure\|check\|put\|place\|slurry\|disperse\|wet\|sprinkle\|dust\|hydrate\|soak\|swell\|dissolve\|solubili[sz]e\|melt\|grind\|mill\|crush\|sieve\|sift\|strain\|filter\|heat\|reheat\|warm\|bring\|hold\|keep\|maintain\|top up\|make up\|replace\|add\|stir\|mix\|fold\|work\|drip\|pour\|combine\|transfer\|stream\|drizzle\|trickle\|unite\|blend\|whip\|beat\|whisk\|shake\|agitate\|homogeni[sz]e\|emulsify\|neutrali[sz]e\|thicken\|cool\|let\|allow\|leave\|chill\|test\|take\|adjust\|set\|correct\|fill\|bottle\|decant\|spoon\|scoop\|mould\|mold\|press\|cast\|rest\|stand\|wait\|cure\|mature\|remove\|clean\|saniti[sz]e\|sterili[sz]e\|disinfect\|wash\|wipe\|label\|close\|seal\|store\)\>\ze\(.*\d\s*%$\)\@!/
syntax region formulaName start=/"/ end=/"/ oneline
syntax match formulaComment /\(^\|\s\)#\(\d\)\@!.*$/ contains=formulaException
syntax match formulaException /except \S\+:/ contained
syntax region formulaNotes start=/^notes\>/ end=/^\ze\(formula\|phase\|premix\|method\|batch\|weighed\|log\|packed\|observations\|complaints\|lot\|ledger\)\>/ contains=formulaNotesHeading
syntax match formulaNotesHeading /^notes\>/ contained

highlight default link formulaHeading Keyword
highlight default link formulaNotesHeading Keyword
highlight default link formulaLabel Identifier
highlight default link formulaField Type
highlight default link formulaAmount Number
highlight default link formulaUnit Number
highlight default link formulaDate Number
highlight default link formulaFill Constant
highlight default link formulaStep Statement
highlight default link formulaName String
highlight default link formulaComment Comment
highlight default link formulaException SpecialComment

let b:current_syntax = 'formula'
