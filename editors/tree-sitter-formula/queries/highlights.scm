(heading_keyword) @keyword
(label) @label
(key) @property
(name) @variable
(file) @string.special.path
(verb) @function
(string) @string
(number) @number
(measure (unit) @type)
(temperature (degree) @type)
(duration (time) @type)
(date) @number
(clock) @number
(fill) @constant
(not_weighed) @constant
(keyword) @keyword
(as) @keyword
(purpose (word) @constant)
(note) @markup
(comment) @comment
":" @punctuation.delimiter
(punctuation) @punctuation.delimiter
