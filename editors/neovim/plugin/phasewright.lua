if vim.g.loaded_phasewright then
  return
end
vim.g.loaded_phasewright = true

if vim.lsp.enable then
  vim.lsp.enable('phasewright')
  return
end

vim.api.nvim_create_autocmd('FileType', {
  pattern = require('phasewright').filetypes,
  callback = function(event)
    require('phasewright').attach(event.buf)
  end,
})
