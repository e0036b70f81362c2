//! The server on loopback: the page, and behind it the folder's files.

use super::built::BuiltPage;
use super::folder::{Before, Folder, Listed, Refused, tag};
use super::guard::{self, Guard};
use axum::body::{Body, Bytes};
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Json, Router, middleware};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use serde::{Deserialize, Serialize};
use std::io;
use std::net::TcpListener;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Semaphore;

/// A text with a few bytes to spare; a longer body is refused before it is read.
const MAX_BODY: usize = crate::text::MAX_FILE_BYTES as usize + 1024;

/// A client that has not sent the head of its request by then is let go.
const HEAD_TIME: Duration = Duration::from_secs(5);

/// One browser needs six.
const MAX_CONNECTIONS: usize = 64;

/// How often the folder is looked at while somebody waits for changes, and how many looks make one answer.
const LOOK_EVERY: Duration = Duration::from_millis(500);
const LOOKS: u32 = 40;

struct Served {
    folder: Folder,
    page: BuiltPage,
    prefix: String,
}

type App = State<Arc<Served>>;

/// Serves until the process is ended.
pub fn serve(
    listener: TcpListener,
    guard: Guard,
    folder: Folder,
    page: BuiltPage,
) -> io::Result<()> {
    listener.set_nonblocking(true)?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let router = router(guard, folder, page);
        let room = Arc::new(Semaphore::new(MAX_CONNECTIONS));
        loop {
            let place = room.clone().acquire_owned().await;
            let (stream, _) = match listener.accept().await {
                Ok(accepted) => accepted,
                // One that is gone before it was taken, or too many open files: the next may do.
                Err(_) => {
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            };
            let service = TowerToHyperService::new(router.clone());
            tokio::spawn(async move {
                // A connection that breaks off concerns its client alone.
                let _ = hyper::server::conn::http1::Builder::new()
                    .timer(TokioTimer::new())
                    .header_read_timeout(HEAD_TIME)
                    .serve_connection(TokioIo::new(stream), service)
                    .await;
                drop(place);
            });
        }
    })
}

fn router(guard: Guard, folder: Folder, page: BuiltPage) -> Router {
    let served = Served {
        folder,
        page,
        prefix: guard.prefix(),
    };
    let api = Router::new()
        .route("/files", get(list))
        .route("/file", get(read).put(write).delete(remove))
        .route("/changes", get(changes));
    Router::new()
        .nest(&format!("{}/api", served.prefix), api)
        .fallback(get(page_file))
        .with_state(Arc::new(served))
        .layer(DefaultBodyLimit::max(MAX_BODY))
        .layer(middleware::from_fn_with_state(
            Arc::new(guard),
            guard::layer,
        ))
}

async fn page_file(State(app): App, uri: Uri) -> Response {
    let path = uri.path().strip_prefix(&app.prefix);
    let file = path
        .and_then(|path| path.strip_prefix('/'))
        .and_then(|path| app.page.file(path));
    match file {
        Some((bytes, kind)) => (
            [(header::CONTENT_TYPE, kind)],
            Body::from(bytes.into_owned()),
        )
            .into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

#[derive(Serialize)]
struct AllFiles {
    folder: String,
    files: Vec<Listed>,
}

async fn list(State(app): App) -> Result<Json<AllFiles>, Refused> {
    beside(move || {
        Ok(Json(AllFiles {
            folder: app.folder.name().to_owned(),
            files: app.folder.list()?,
        }))
    })
    .await
}

#[derive(Deserialize)]
struct Named {
    path: String,
}

async fn read(State(app): App, Query(named): Query<Named>) -> Result<Response, Refused> {
    let text = beside(move || app.folder.read(&named.path)).await?;
    let head = [
        (header::CONTENT_TYPE, "text/plain; charset=utf-8".to_owned()),
        (header::ETAG, tag(text.as_bytes())),
    ];
    Ok((head, text).into_response())
}

async fn write(
    State(app): App,
    Query(named): Query<Named>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<StatusCode, Refused> {
    let before = condition(&headers)?;
    let text = String::from_utf8(body.into())
        .map_err(|_| Refused::Failed("this is not UTF-8 text".to_owned()))?;
    beside(move || app.folder.write(&named.path, &text, &before)).await?;
    Ok(StatusCode::NO_CONTENT)
}

async fn remove(
    State(app): App,
    Query(named): Query<Named>,
    headers: HeaderMap,
) -> Result<StatusCode, Refused> {
    let before = condition(&headers)?;
    beside(move || app.folder.remove(&named.path, &before)).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// A change without a condition could overwrite what nobody has seen.
fn condition(headers: &HeaderMap) -> Result<Before, Refused> {
    let said = |name| headers.get(name).and_then(|value| value.to_str().ok());
    match (said(header::IF_MATCH), said(header::IF_NONE_MATCH)) {
        (Some(tag), None) => Ok(Before::Tag(tag.to_owned())),
        (None, Some("*")) => Ok(Before::Nothing),
        _ => Err(Refused::Failed(
            "a change has to say what the file held before: If-Match or If-None-Match: *"
                .to_owned(),
        )),
    }
}

#[derive(Deserialize)]
struct Since {
    since: String,
}

#[derive(Serialize)]
struct Now {
    state: String,
}

/// Answers when the folder is no longer as it was, or after a while.
async fn changes(State(app): App, Query(known): Query<Since>) -> Result<Json<Now>, Refused> {
    let mut looks = 0;
    loop {
        let folder = app.clone();
        let state = beside(move || Ok(folder.folder.state()?)).await?;
        looks += 1;
        if state != known.since || looks == LOOKS {
            return Ok(Json(Now { state }));
        }
        tokio::time::sleep(LOOK_EVERY).await;
    }
}

/// The disk is asked beside the loop, so that a slow one holds up nobody else.
async fn beside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refused> + Send + 'static,
) -> Result<T, Refused> {
    let worked = tokio::task::spawn_blocking(work).await;
    worked.unwrap_or_else(|_| Err(Refused::Failed("this is a fault of the program".to_owned())))
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        match self {
            Refused::NoFile => (StatusCode::NOT_FOUND, "there is no such file".to_owned()),
            Refused::Changed => (
                StatusCode::PRECONDITION_FAILED,
                "the file was changed by another window or program".to_owned(),
            ),
            Refused::NotOurs => (
                StatusCode::FORBIDDEN,
                "not a file of this folder that the page works with".to_owned(),
            ),
            Refused::Failed(why) => (StatusCode::UNPROCESSABLE_ENTITY, why),
        }
        .into_response()
    }
}
