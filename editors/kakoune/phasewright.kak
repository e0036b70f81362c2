# Formulas for skin and hair care: file types, colours by their look, and the language server through kak-lsp.

hook global BufCreate .*\.(formula|batch|stock) %{
    set-option buffer filetype %val{hook_param_capture_1}
}

hook global WinSetOption filetype=(formula|batch|stock) %{
    require-module phasewright
    set-option window static_words formula phase premix method notes batch weighed log packed observations complaints lot ledger
    add-highlighter window/phasewright ref phasewright
    # A new line stands as far in as the one above it.
    hook -group phasewright window InsertChar \n %{ try %{ execute-keys -draft <semicolon> K <a-&> } }
    hook -once -always window WinSetOption filetype=.* %{
        remove-highlighter window/phasewright
        remove-hooks window phasewright
    }
}

hook global BufSetOption filetype=(formula|batch|stock) %{
    set-option buffer comment_line '#'
    set-option buffer indentwidth 2
    set-option buffer lsp_servers %{
        [phasewright]
        root_globs = ["phasewright.toml", "ingredients", ".git"]
        command = "phasewright"
        args = ["serve"]
    }
}

provide-module phasewright %§

add-highlighter shared/phasewright regions
add-highlighter shared/phasewright/code default-region group
add-highlighter shared/phasewright/notes region '^notes\b' '\n(?=[A-Za-z])' group
add-highlighter shared/phasewright/notes/ regex '^notes\b' 0:keyword
add-highlighter shared/phasewright/name region '"' '"|$' fill string
add-highlighter shared/phasewright/comment region '(?:^|(?<=\s))#(?!\d)' '$' group
add-highlighter shared/phasewright/comment/ fill comment
add-highlighter shared/phasewright/comment/ regex 'except \S+:' 0:meta

add-highlighter shared/phasewright/code/ regex '(?i)^\h+(?:weigh|measure|check|put|place|slurry|disperse|wet|sprinkle|dust|hydrate|soak|swell|dissolve|solubili[sz]e|melt|grind|mill|crush|sieve|sift|strain|filter|heat|reheat|warm|bring|hold|keep|maintain|top up|make up|replace|add|stir|mix|fold|work|drip|pour|combine|transfer|stream|drizzle|trickle|unite|blend|whip|beat|whisk|shake|agitate|homogeni[sz]e|emulsify|neutrali[sz]e|thicken|cool|let|allow|leave|chill|test|take|adjust|set|correct|fill|bottle|decant|spoon|scoop|mould|mold|press|cast|rest|stand|wait|cure|mature|remove|clean|saniti[sz]e|sterili[sz]e|disinfect|wash|wipe|label|close|seal|store)\b' 0:function
add-highlighter shared/phasewright/code/ regex '^\h+([A-Za-z]+(?: [A-Za-z]+)*)(?=:)' 1:attribute
add-highlighter shared/phasewright/code/ regex '(?i)\b\d+(?:[.,]\d+)?\h?(?:%|[°º]\h?[CF]\b|(?:g|mg|kg|oz|lb|mL|L|fl oz|tsp|tbsp|cups?|drops|parts|pieces|min|h|d)\b)' 0:value
add-highlighter shared/phasewright/code/ regex '\b\d{4}-\d{2}-\d{2}\b' 0:value
add-highlighter shared/phasewright/code/ regex '(?i)(?<=\h)(?:q\.s\.|qs|balance)(?=[\h,#\n])' 0:meta
add-highlighter shared/phasewright/code/ regex '(?i)^(formula|phase|premix|method|batch|weighed|log|packed|observations|complaints|lot|ledger)\b(?:\h+([^\h"#,]+))?' 1:keyword 2:variable

§
