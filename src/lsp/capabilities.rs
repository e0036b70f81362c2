//! What the server offers.

use super::client_capabilities::ClientCapabilities;
use super::requests::{code_actions, commands, semantic_tokens};
use crate::text::Encoding;
use tower_lsp::gen_lsp_types::{
    CodeActionOptions, CodeLensOptions, CompletionOptions, DiagnosticOptions, DocumentLinkOptions,
    DocumentOnTypeFormattingOptions, ExecuteCommandOptions, FileOperationFilter,
    FileOperationOptions, FileOperationPattern, FileOperationRegistrationOptions, InlayHintOptions,
    PositionEncodingKind, RenameOptions, SaveOptions, SemanticTokensFullDelta,
    SemanticTokensOptions, ServerCapabilities, TextDocumentSyncKind, TextDocumentSyncOptions,
    WorkspaceFoldersServerCapabilities, WorkspaceOptions,
};

/// All that the server offers.
pub fn server_capabilities(client: &ClientCapabilities) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(match client.encoding {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }),
        text_document_sync: Some(
            TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::Incremental),
                save: Some(
                    SaveOptions {
                        include_text: Some(false),
                    }
                    .into(),
                ),
                ..TextDocumentSyncOptions::default()
            }
            .into(),
        ),
        diagnostic_provider: Some(
            DiagnosticOptions {
                identifier: Some("phasewright".to_owned()),
                inter_file_dependencies: true,
                workspace_diagnostics: true,
                ..DiagnosticOptions::default()
            }
            .into(),
        ),
        hover_provider: Some(true.into()),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some(vec!["\"".to_owned(), " ".to_owned()]),
            resolve_provider: Some(true),
            ..CompletionOptions::default()
        }),
        code_action_provider: Some(
            CodeActionOptions {
                code_action_kinds: Some(code_actions::KINDS.to_vec()),
                ..CodeActionOptions::default()
            }
            .into(),
        ),
        document_symbol_provider: Some(true.into()),
        inlay_hint_provider: Some(
            InlayHintOptions {
                resolve_provider: Some(true),
                ..InlayHintOptions::default()
            }
            .into(),
        ),
        folding_range_provider: Some(true.into()),
        selection_range_provider: Some(true.into()),
        document_link_provider: Some(DocumentLinkOptions::default()),
        code_lens_provider: Some(CodeLensOptions::default()),
        execute_command_provider: Some(ExecuteCommandOptions {
            commands: commands::names().into_iter().map(str::to_owned).collect(),
            ..ExecuteCommandOptions::default()
        }),
        definition_provider: Some(true.into()),
        document_highlight_provider: Some(true.into()),
        references_provider: Some(true.into()),
        rename_provider: Some(
            RenameOptions {
                prepare_provider: Some(true),
                ..RenameOptions::default()
            }
            .into(),
        ),
        linked_editing_range_provider: Some(true.into()),
        workspace_symbol_provider: Some(true.into()),
        semantic_tokens_provider: Some(
            SemanticTokensOptions {
                legend: semantic_tokens::legend(),
                full: Some(SemanticTokensFullDelta { delta: Some(true) }.into()),
                range: Some(true.into()),
                ..SemanticTokensOptions::default()
            }
            .into(),
        ),
        document_formatting_provider: Some(true.into()),
        document_range_formatting_provider: Some(true.into()),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: "\n".to_owned(),
            more_trigger_character: None,
        }),
        workspace: Some(WorkspaceOptions {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(true.into()),
            }),
            file_operations: Some(FileOperationOptions {
                will_rename: Some(FileOperationRegistrationOptions {
                    filters: vec![FileOperationFilter {
                        scheme: Some("file".to_owned()),
                        pattern: FileOperationPattern {
                            glob: "**/*.formula".to_owned(),
                            ..FileOperationPattern::default()
                        },
                    }],
                }),
                ..FileOperationOptions::default()
            }),
            ..WorkspaceOptions::default()
        }),
        ..ServerCapabilities::default()
    }
}
