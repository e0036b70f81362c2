;;; Drives a real Emacs with the init file that editors/emacs/README.md tells to write, as a maker would.
;; Environment: FOLDER a workspace with hand-cream.formula, CLIENT eglot or lsp-mode.  -*- lexical-binding: t; -*-

(require 'cl-lib)
(require 'flymake)
(setq make-backup-files nil create-lockfiles nil auto-save-default nil
      flymake-no-changes-timeout 0.1
      ;; In batch Emacs would ask for a mouse menu.
      last-nonmenu-event ?x)
(defvar failed 0)
(defun check (name ok &optional seen)
  (unless ok (cl-incf failed))
  (princ (format "%s %s%s\n" (if ok "ok  " "FAIL") name (if ok "" (format "\n     seen: %S" seen)))))
(defun step (name look &optional wanted)
  "Ask LOOK until WANTED is true of its answer; no answer is ever this late unless something hangs."
  (let ((end (+ (float-time) 20)) (wanted (or wanted #'identity)) seen)
    (while (and (not (funcall wanted (setq seen (ignore-errors (funcall look))))) (< (float-time) end))
      (accept-process-output nil 0.05)
      (sit-for 0.02))
    (check name (funcall wanted seen) seen)
    seen))
(defun line-at (text)
  (save-excursion
    (goto-char (point-min))
    (and (search-forward text nil t)
         (buffer-substring-no-properties (line-beginning-position) (line-end-position)))))
(defun go (text)
  (goto-char (point-min))
  (search-forward text)
  (goto-char (match-beginning 0)))
(defun settle ()
  (when (fboundp 'eglot--signal-textDocument/didChange) (eglot--signal-textDocument/didChange))
  (accept-process-output nil 0.2))
(defun found ()
  (settle)
  (flymake-start)
  (accept-process-output nil 0.1)
  (mapcar (lambda (d) (list (flymake-diagnostic-type d)
                            (buffer-substring-no-properties (flymake-diagnostic-beg d) (flymake-diagnostic-end d))
                            (flymake-diagnostic-text d)))
          (flymake-diagnostics)))
(defun over ()
  (cl-remove-if-not (lambda (d) (and (eq (car d) 'eglot-error) (string-match-p "at most 1 %\\|limit" (nth 2 d)))) (found)))

(find-file (expand-file-name "hand-cream.formula" (getenv "FOLDER")))
(check "the file type is known" (eq major-mode 'phasewright-formula-mode) major-mode)
(font-lock-ensure)
(check "a heading has its colour" (eq (get-text-property (point-min) 'face) 'font-lock-keyword-face) (get-text-property (point-min) 'face))
;; In batch the hook of the init file waits for a window; this is what it calls.
(apply #'eglot--connect (eglot--guess-contact))
(step "the server is attached" (lambda () (and (eglot-current-server) (eglot-managed-p))))
(check "its root is the folder with the ingredients"
       (string= (file-name-as-directory (file-truename (getenv "FOLDER")))
                (file-name-as-directory (file-truename (cdr (project-current)))))
       (project-current))
(step "what is known of the example is told" (lambda () (flymake-running-backends)))
(check "a good formula draws no error" (null (cl-remove-if-not (lambda (d) (eq (car d) 'eglot-error)) (found))) (found))

;; A row with an é and an emoji to the left of what is wrong.
(go "panthenol")
(end-of-line)
(insert "\n  crème 🧴 mix   1.2 %")
(step "a typed fault is shown" #'over (lambda (l) (= (length l) 1)))
(check "under its amount" (equal (nth 1 (car (over))) "1.2 %") (over))

;; An edit to the right of both.
(go "1.2 %")
(delete-char 3)
(insert "1.1")
(step "an edit behind é and 🧴 lands where it was typed" #'over
      (lambda (l) (and l (string-match-p "1\\.1 %" (nth 2 (car l))))))

;; The fix.
(go "1.1 %")
(settle)
(cl-letf* ((take (lambda (_prompt all &rest _)
                   (let ((all (mapcar (lambda (a) (if (consp a) (car a) a)) all)))
                     (or (cl-find-if (lambda (title) (string-match-p "1 %" title)) all) (car all)))))
           ((symbol-function 'completing-read) take)
           ((symbol-function 'read-multiple-choice) take))
  (call-interactively #'eglot-code-actions))
(step "the fix is applied" (lambda () (line-at "crème 🧴 mix")) (lambda (l) (equal l "  crème 🧴 mix   1 %")))
(step "and the fault is gone" (lambda () (list (over))) (lambda (l) (null (car l))))

;; Hover.
(go "glycerin")
(let (shown)
  (eglot-hover-eldoc-function (lambda (text &rest _) (setq shown text)))
  (step "hover shows the card" (lambda () shown) (lambda (s) (and s (string-match-p "Glycerin" s)))))

;; Completion.
(go "rapeseed oil")
(end-of-line)
(insert "\n  jojob")
(settle)
(let* ((capf (eglot-completion-at-point)) (all (all-completions "jojob" (nth 2 capf))))
  (check "completion offers the ingredient" (cl-some (lambda (a) (string-match-p "jojoba" a)) all) all)
  (let ((completion-at-point-functions '(eglot-completion-at-point)))
    (cl-letf (((symbol-function 'completion--in-region)
               (lambda (start end table &rest _)
                 (let ((first (car (all-completions (buffer-substring start end) table))))
                   (delete-region start end)
                   (insert first)
                   (funcall (plist-get (nthcdr 3 capf) :exit-function) first 'finished)))))
      (completion-at-point))))
(check "and writes its name" (line-at "  jojoba") (line-at "jojob"))
(delete-region (line-beginning-position) (line-end-position))
(delete-char -1)
(settle)

;; Formatting.
(go "xanthan gum")
(let ((before (line-at "xanthan gum")))
  (search-forward "gum")
  (just-one-space)
  (check "a row stands out of line" (not (equal (line-at "xanthan gum") before)))
  (settle)
  (eglot-format-buffer)
  (step "formatting puts it back" (lambda () (line-at "xanthan gum")) (lambda (l) (equal l before))))
(check "and sets the row with the emoji in line" (string-match-p "^  crème 🧴 mix    +1 %$" (line-at "crème 🧴 mix")) (line-at "crème 🧴 mix"))

;; The outline, the papers.
(check "the headings are in the outline" (eglot-imenu) (eglot-imenu))
(let (opened)
  (cl-letf (((symbol-function 'browse-url-of-file) (lambda (path) (setq opened path))))
    (phasewright-paper "sheet"))
  (check "the weigh sheet is made from the text as it stands"
         (and opened (with-temp-buffer (insert-file-contents opened) (search-forward "crème 🧴 mix" nil t)))
         opened))

;; Leaving.
(let ((process (jsonrpc--process (eglot-current-server))))
  (set-buffer-modified-p nil)
  (eglot-shutdown (eglot-current-server))
  (step "the server is gone with the editor" (lambda () (not (process-live-p process)))))
(princ (if (= failed 0) "all well\n" (format "%d failed\n" failed)))
(kill-emacs (if (= failed 0) 0 1))
