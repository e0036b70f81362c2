//! The layers around the service. [`CatchUnwind`] is the one place that catches a panic of a request; [`LifecycleService`] sees `initialize`,
//! `shutdown` and `exit`.

use serde_json::{Value, json};
use std::future::Future;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::Pin;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::task::{Context, Poll, Waker};
use std::time::Duration;
use tower_lsp::ExitedError;
use tower_lsp::jsonrpc::{Error, ErrorCode, Id, Request, Response};
use tower_service::Service;

type Answer = Result<Option<Response>, ExitedError>;
type AnswerFuture = Pin<Box<dyn Future<Output = Answer> + Send>>;

/// Answers "internal error" where the service panics.
pub struct CatchUnwind<S> {
    inner: S,
}

impl<S> CatchUnwind<S> {
    pub fn new(inner: S) -> Self {
        CatchUnwind { inner }
    }
}

impl<S> Service<Request> for CatchUnwind<S>
where
    S: Service<Request, Response = Option<Response>, Error = ExitedError>,
    S::Future: Send + 'static,
{
    type Response = Option<Response>;
    type Error = ExitedError;
    type Future = AnswerFuture;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), ExitedError>> {
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, request: Request) -> AnswerFuture {
        let (method, id) = (request.method().to_owned(), request.id().cloned());
        let called = catch_unwind(AssertUnwindSafe(|| self.inner.call(request)));
        Box::pin(async move {
            let answer = match called {
                Ok(future) => CatchUnwindFuture(Box::pin(future)).await,
                Err(_) => None,
            };
            answer.unwrap_or_else(|| {
                eprintln!("phasewright: {method} failed; this is a fault of the program, the server goes on");
                Ok(id.map(|id| Response::from_error(id, Error::internal_error())))
            })
        })
    }
}

/// A future whose panic is caught: none then.
struct CatchUnwindFuture<F>(Pin<Box<F>>);

impl<F: Future> Future for CatchUnwindFuture<F> {
    type Output = Option<F::Output>;

    fn poll(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<F::Output>> {
        match catch_unwind(AssertUnwindSafe(|| self.0.as_mut().poll(cx))) {
            Ok(poll) => poll.map(Some),
            Err(_) => Poll::Ready(None),
        }
    }
}

/// Where the connection stands.
#[derive(Default)]
pub struct Lifecycle {
    initializing: AtomicBool,
    initialized: AtomicBool,
    shut_down: AtomicBool,
    waits_for_initialize: Mutex<Option<Waker>>,
    /// As the client sent them: one with odd capabilities is served too.
    initialize_params: Mutex<Option<Value>>,
    exit_requested: Mutex<bool>,
    exit_changed: Condvar,
}

impl Lifecycle {
    /// 0 after `shutdown`, else 1.
    pub fn status(&self) -> i32 {
        i32::from(!self.shut_down.load(Ordering::SeqCst))
    }

    pub fn take_initialize_params(&self) -> Value {
        let mut params = lock(&self.initialize_params);
        params.take().unwrap_or(Value::Null)
    }

    /// The input is closed, or `exit` was said.
    pub fn request_exit(&self) {
        *lock(&self.exit_requested) = true;
        self.exit_changed.notify_all();
    }

    /// Waits; true when the end has come.
    pub fn wait_for_exit(&self, time: Duration) -> bool {
        let requested = lock(&self.exit_requested);
        let (requested, _) = self
            .exit_changed
            .wait_timeout_while(requested, time, |requested| !*requested)
            .unwrap_or_else(PoisonError::into_inner);
        *requested
    }

    fn initialize_answered(&self, ok: bool) {
        self.initialized.fetch_or(ok, Ordering::SeqCst);
        self.initializing.store(false, Ordering::SeqCst);
        if let Some(waker) = lock(&self.waits_for_initialize).take() {
            waker.wake();
        }
    }

    /// Notes what a message says about the life of the connection, and takes off what the service is too strict about.
    fn note(&self, request: Request) -> Request {
        match request.method() {
            "initialize" if !self.initialized.load(Ordering::SeqCst) => {
                self.initializing.store(true, Ordering::SeqCst);
                let (_, id, params) = request.into_parts();
                *lock(&self.initialize_params) = params;
                bare("initialize", id, Some(json!({ "capabilities": {} })))
            }
            "initialized" => bare("initialized", None, Some(json!({}))),
            "shutdown" => {
                if self.initialized.load(Ordering::SeqCst) {
                    self.shut_down.store(true, Ordering::SeqCst);
                }
                let (_, id, _) = request.into_parts();
                bare("shutdown", id, None)
            }
            "exit" => {
                self.request_exit();
                bare("exit", None, None)
            }
            _ => request,
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn bare(method: &'static str, id: Option<Id>, params: Option<Value>) -> Request {
    let mut request = Request::build(method);
    if let Some(id) = id {
        request = request.id(id);
    }
    if let Some(params) = params {
        request = request.params(params);
    }
    request.finish()
}

/// Keeps messages back until `initialize` is answered, and answers null to what is not known.
pub struct LifecycleService<S> {
    inner: S,
    life: Arc<Lifecycle>,
}

impl<S> LifecycleService<S> {
    pub fn new(inner: S, life: Arc<Lifecycle>) -> Self {
        LifecycleService { inner, life }
    }
}

impl<S> Service<Request> for LifecycleService<S>
where
    S: Service<Request, Response = Option<Response>, Error = ExitedError, Future = AnswerFuture>,
{
    type Response = Option<Response>;
    type Error = ExitedError;
    type Future = AnswerFuture;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), ExitedError>> {
        if self.life.initializing.load(Ordering::SeqCst) {
            *lock(&self.life.waits_for_initialize) = Some(cx.waker().clone());
            if self.life.initializing.load(Ordering::SeqCst) {
                return Poll::Pending;
            }
        }
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, request: Request) -> AnswerFuture {
        let request = self.life.note(request);
        let id = request.id().cloned();
        let initialize = request.method() == "initialize";
        let life = self.life.clone();
        let answer = self.inner.call(request);
        Box::pin(async move {
            let answer = answer.await;
            if initialize {
                let sent = answer.as_ref().ok().and_then(Option::as_ref);
                life.initialize_answered(sent.is_some_and(Response::is_ok));
            }
            let is_unknown = |r: &Response| {
                r.error()
                    .is_some_and(|e| e.code == ErrorCode::MethodNotFound)
            };
            Ok(match (answer?, id) {
                (Some(response), Some(id)) if is_unknown(&response) => {
                    Some(Response::from_ok(id, Value::Null))
                }
                (None, Some(id)) => Some(Response::from_ok(id, Value::Null)),
                (response, _) => response,
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::future::{Ready, ready};

    /// Panics when it is called, or when its answer is awaited.
    struct Faulty;

    impl Service<Request> for Faulty {
        type Response = Option<Response>;
        type Error = ExitedError;
        type Future = AnswerFuture;
        fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), ExitedError>> {
            Poll::Ready(Ok(()))
        }
        fn call(&mut self, request: Request) -> AnswerFuture {
            assert!(request.method() != "at once", "planted");
            let later = request.method() == "later";
            let id = request.id().cloned();
            Box::pin(async move {
                assert!(!later, "planted");
                let unknown: Ready<_> =
                    ready(id.map(|id| Response::from_error(id, Error::method_not_found())));
                Ok(unknown.await)
            })
        }
    }

    fn ask(method: &'static str, id: Option<i64>) -> Option<Response> {
        let mut service = LifecycleService::new(CatchUnwind::new(Faulty), Arc::default());
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .expect("a runtime");
        runtime
            .block_on(service.call(bare(method, id.map(Into::into), None)))
            .expect("not ended")
    }

    #[test]
    fn a_panic_costs_one_answer() {
        for method in ["at once", "later"] {
            let answer = ask(method, Some(7)).expect("a request is answered");
            assert_eq!(
                answer.error().map(|e| e.code),
                Some(ErrorCode::InternalError),
                "{method}"
            );
            assert_eq!(ask(method, None), None, "{method} as a notification");
        }
    }

    #[test]
    fn what_is_not_known_is_answered_with_null() {
        let answer = ask("textDocument/somethingElse", Some(7)).expect("a request is answered");
        assert_eq!(answer.result(), Some(&Value::Null));
    }
}
