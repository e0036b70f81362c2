;;; phasewright.el --- Formulas for skin and hair care, checked while you type  -*- lexical-binding: t; -*-

;; SPDX-License-Identifier: MIT
;; Version: 0.1.0
;; Package-Requires: ((emacs "27.1"))
;; Keywords: languages

;;; Commentary:

;; Major modes for .formula, .batch and .stock files.  They start the language server with
;; Eglot or lsp-mode, whichever you call:
;;
;;   (add-to-list 'load-path "/path/to/phasewright/editors/emacs")
;;   (require 'phasewright)
;;   (add-hook 'phasewright-mode-hook #'eglot-ensure)

;;; Code:

(defgroup phasewright nil
  "Formulas for skin and hair care as plain text."
  :group 'languages)

(defcustom phasewright-command '("phasewright" "serve")
  "The command that starts the language server, with its arguments."
  :type '(repeat string))

(defconst phasewright--headings
  '((phasewright-formula-mode "formula" "phase" "premix" "method" "notes")
    (phasewright-batch-mode "batch" "weighed" "log" "packed" "observations" "complaints" "notes")
    (phasewright-stock-mode "lot" "ledger" "notes"))
  "The headings of each kind of file.")

(defconst phasewright--verbs
  '("weigh" "measure" "check" "put" "place" "slurry" "disperse" "wet" "sprinkle" "dust" "hydrate" "soak"
    "swell" "dissolve" "solubilize" "solubilise" "melt" "grind" "mill" "crush" "sieve" "sift" "strain"
    "filter" "heat" "reheat" "warm" "bring" "hold" "keep" "maintain" "top up" "make up" "replace" "add"
    "stir" "mix" "fold" "work" "drip" "pour" "combine" "transfer" "stream" "drizzle" "trickle" "unite"
    "blend" "whip" "beat" "whisk" "shake" "agitate" "homogenize" "homogenise" "emulsify" "neutralize"
    "neutralise" "thicken" "cool" "let" "allow" "leave" "chill" "test" "take" "adjust" "set" "correct"
    "fill" "bottle" "decant" "spoon" "scoop" "mould" "mold" "press" "cast" "rest" "stand" "wait" "cure"
    "mature" "remove" "clean" "sanitize" "sanitise" "sterilize" "sterilise" "disinfect" "wash" "wipe"
    "label" "close" "seal" "store")
  "The words that a step of the method begins with.")

(defun phasewright--keywords (mode)
  "What is coloured in MODE by its look alone; the server knows more."
  (let ((headings (regexp-opt (cdr (assq mode phasewright--headings)))))
    `(;; A # begins a comment after a blank and not before a digit.
      ("\\(?:^\\|[ \t]\\)\\(#\\(?:[^0-9\n].*\\)?\\)$" 1 font-lock-comment-face t)
      (,(concat "^\\(" headings "\\)\\_>[ \t:]*\\([^ \t\n\"#,]+\\)?")
       (1 font-lock-keyword-face) (2 font-lock-function-name-face nil t))
      ("^[ \t]+\\([[:alpha:]]+\\(?: [[:alpha:]]+\\)*\\):" 1 font-lock-type-face)
      (,(concat "^[ \t]+" (regexp-opt phasewright--verbs t) "\\_>\\(?:.*[^%\n]\\)?$") 1 font-lock-builtin-face)
      ("\"[^\"\n]*\"" . font-lock-string-face)
      ("\\_<\\(?:q\\.s\\.\\|qs\\|balance\\)\\(?:[ ,\t]\\|$\\)" . font-lock-constant-face)
      ("[ \t]\\([0-9]+\\(?:[.,][0-9]+\\)?[ \t]?\\(?:%\\|[°º][ \t]?[CF]\\|\\(?:g\\|mg\\|kg\\|oz\\|lb\\|mL\\|L\\|tsp\\|tbsp\\|drops\\|parts\\|pieces\\|min\\|h\\|d\\)\\_>\\)\\)" 1 font-lock-constant-face)
      ("\\_<[0-9]\\{4\\}-[0-9]\\{2\\}-[0-9]\\{2\\}\\_>" . font-lock-constant-face))))

(defvar phasewright-mode-syntax-table
  (let ((table (make-syntax-table text-mode-syntax-table)))
    (modify-syntax-entry ?_ "_" table)
    (modify-syntax-entry ?. "." table)
    table)
  "A `#' begins a comment only after a blank: it is found by its look.")

;;;###autoload
(define-derived-mode phasewright-mode prog-mode "Phasewright"
  "What all modes of Phasewright share."
  :syntax-table phasewright-mode-syntax-table
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#[ \t]+")
  (setq-local indent-tabs-mode nil)
  (setq-local indent-line-function #'phasewright-indent-line)
  (setq-local buffer-file-coding-system 'utf-8-unix))

(defun phasewright--colour (mode)
  "Colour the buffer as MODE does."
  (setq-local font-lock-defaults (list (phasewright--keywords mode) t t)))

(defun phasewright-indent-line ()
  "Indent as the line above: headings at the left edge, all else two blanks in."
  (let ((indent (save-excursion
                  (if (zerop (forward-line -1))
                      (if (looking-at-p "[^ \t\n#]") 2 (current-indentation))
                    0))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to indent)
      (save-excursion (indent-line-to indent)))))

;;;###autoload
(define-derived-mode phasewright-formula-mode phasewright-mode "Formula"
  "Major mode for formulas (.formula)."
  (phasewright--colour 'phasewright-formula-mode))
;;;###autoload
(define-derived-mode phasewright-batch-mode phasewright-mode "Batch"
  "Major mode for batch records (.batch)."
  (phasewright--colour 'phasewright-batch-mode))
;;;###autoload
(define-derived-mode phasewright-stock-mode phasewright-mode "Stock"
  "Major mode for stock lists (.stock)."
  (phasewright--colour 'phasewright-stock-mode))

;;;###autoload
(progn
  (add-to-list 'auto-mode-alist '("\\.formula\\'" . phasewright-formula-mode))
  (add-to-list 'auto-mode-alist '("\\.batch\\'" . phasewright-batch-mode))
  (add-to-list 'auto-mode-alist '("\\.stock\\'" . phasewright-stock-mode)))

(put 'phasewright-formula-mode 'eglot-language-id "formula")
(put 'phasewright-batch-mode 'eglot-language-id "batch")
(put 'phasewright-stock-mode 'eglot-language-id "stock")

;; Settings and own ingredients hold for all files below their folder.
(defun phasewright-root (folder)
  "The nearest folder from FOLDER upward with settings or own ingredients."
  (let ((root (or (locate-dominating-file folder "phasewright.toml")
                  (locate-dominating-file folder "ingredients"))))
    (and root (derived-mode-p 'phasewright-mode) (cons 'transient root))))
(add-hook 'project-find-functions #'phasewright-root)

(defvar eglot-server-programs)
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               '((phasewright-formula-mode phasewright-batch-mode phasewright-stock-mode)
                 . (lambda (&rest _) phasewright-command))))

(declare-function lsp-register-client "ext:lsp-mode")
(declare-function make-lsp-client "ext:lsp-mode")
(declare-function lsp-stdio-connection "ext:lsp-mode")
(declare-function lsp-workspace-command-execute "ext:lsp-mode")
(defvar lsp-language-id-configuration)
(with-eval-after-load 'lsp-mode
  (dolist (mode '((phasewright-formula-mode . "formula") (phasewright-batch-mode . "batch") (phasewright-stock-mode . "stock")))
    (add-to-list 'lsp-language-id-configuration mode))
  (lsp-register-client
   (make-lsp-client :new-connection (lsp-stdio-connection (lambda () phasewright-command))
                    :major-modes '(phasewright-formula-mode phasewright-batch-mode phasewright-stock-mode)
                    :server-id 'phasewright)))

(declare-function eglot-current-server "ext:eglot")
(declare-function jsonrpc-request "jsonrpc")
(declare-function eglot--signal-textDocument/didChange "ext:eglot")
(declare-function eglot--TextDocumentIdentifier "ext:eglot")

(defun phasewright-paper (name)
  "Make the paper NAME of the formula as it stands and show it in the browser."
  (interactive (list (completing-read "Paper: " '("sheet" "label" "card") nil t)))
  (let* ((command (concat "phasewright." name))
         (made (cond
                ((and (fboundp 'eglot-current-server) (eglot-current-server))
                 (eglot--signal-textDocument/didChange)
                 (jsonrpc-request (eglot-current-server) :workspace/executeCommand
                                  (list :command command
                                        :arguments (vector (plist-get (eglot--TextDocumentIdentifier) :uri)))))
                ((bound-and-true-p lsp-mode)
                 (lsp-workspace-command-execute command (vector (concat "file://" buffer-file-name))))
                (t (user-error "Start the server first: M-x eglot or M-x lsp"))))
         (path (if (hash-table-p made) (gethash "path" made) (plist-get made :path))))
    (browse-url-of-file path)))

(provide 'phasewright)
;;; phasewright.el ends here
