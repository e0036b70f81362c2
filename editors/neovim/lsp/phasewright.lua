-- For Neovim 0.11 and later: `vim.lsp.enable('phasewright')` finds this file.
local phasewright = require('phasewright')

return {
  cmd = phasewright.cmd(),
  filetypes = phasewright.filetypes,
  root_dir = function(buf, on_dir)
    local name = vim.api.nvim_buf_get_name(buf)
    if phasewright.is_ours(name, vim.bo[buf].filetype) then
      on_dir(phasewright.root(name))
    end
  end,
}
