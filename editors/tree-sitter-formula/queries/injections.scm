((comment) @injection.content
  (#set! injection.language "comment"))

((note) @injection.content
  (#set! injection.language "markdown_inline"))
