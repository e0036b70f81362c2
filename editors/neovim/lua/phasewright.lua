--- What both ways of starting the server share.
local M = {}

M.filetypes = { 'formula', 'batch', 'stock', 'toml' }

--- The command that starts the server; set `vim.g.phasewright_cmd` to a list to use another.
function M.cmd()
  return vim.g.phasewright_cmd or { 'phasewright', 'serve' }
end

--- Of TOML files only the settings and the maker's own ingredients are ours.
function M.is_ours(name, filetype)
  if filetype ~= 'toml' then
    return true
  end
  return name:match('[/\\]phasewright%.toml$') ~= nil or name:match('[/\\]ingredients[/\\][^/\\]+%.toml$') ~= nil
end

--- The folder with the settings or the ingredients, else the file's own.
function M.root(name)
  local folder = vim.fn.fnamemodify(name, ':p:h')
  local at = folder
  while true do
    if vim.fn.filereadable(at .. '/phasewright.toml') == 1 or vim.fn.isdirectory(at .. '/ingredients') == 1 then
      return at
    end
    local up = vim.fn.fnamemodify(at, ':h')
    if up == at then
      return folder
    end
    at = up
  end
end

--- For Neovim before 0.11: starts the server for a buffer, or takes the one that runs for its folder.
function M.attach(buf)
  local name = vim.api.nvim_buf_get_name(buf)
  if not M.is_ours(name, vim.bo[buf].filetype) then
    return
  end
  local config = { name = 'phasewright', cmd = M.cmd(), root_dir = M.root(name) }
  if vim.lsp.start then
    vim.lsp.start(config, { bufnr = buf })
    return
  end
  M.clients = M.clients or {}
  local id = M.clients[config.root_dir]
  if not id or not vim.lsp.get_client_by_id(id) then
    id = vim.lsp.start_client(config)
    M.clients[config.root_dir] = id
  end
  vim.lsp.buf_attach_client(buf, id)
end

return M
