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

--- The papers that the server of this buffer can make.
function M.papers()
  local names = {}
  local clients = vim.lsp.get_clients and vim.lsp.get_clients({ bufnr = 0 }) or vim.lsp.buf_get_clients(0)
  for _, client in pairs(clients) do
    local offered = client.name == 'phasewright' and (client.server_capabilities or {}).executeCommandProvider or {}
    for _, command in ipairs(offered.commands or {}) do
      table.insert(names, (command:gsub('^phasewright%.', '')))
    end
  end
  return names
end

--- Makes a paper of the formula as it stands in the buffer and shows it in the browser.
function M.paper(name)
  local params = { command = 'phasewright.' .. name, arguments = { vim.uri_from_bufnr(0) } }
  vim.lsp.buf_request(0, 'workspace/executeCommand', params, function(err)
    if err then
      vim.notify('phasewright: ' .. err.message, vim.log.levels.WARN)
    end
  end)
end

return M
