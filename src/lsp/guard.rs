//! The layer around the service. It catches a panic and answers "internal error"; answers null to what is not known; keeps
//! messages back until `initialize` is answered; and sees `shutdown` and `exit` for the status of the process.

use super::outgoing::Outgoing;
use super::ready::Answers;
use serde_json::{Value, json};
use std::future::Future;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::Pin;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::task::{Context, Poll, Waker};
use std::time::Duration;
use tower_lsp::ExitedError;
use tower_lsp::jsonrpc::{Error, ErrorCode, Request, Response};
use tower_service::Service;

/// Where the connection stands.
#[derive(Default)]
pub struct Lifecycle {
    initializing: AtomicBool,
    initialized: AtomicBool,
    shut_down: AtomicBool,
    held_back: Mutex<Option<Waker>>,
    /// What the client said in `initialize`, as it said it: a client with odd capabilities is served too.
    hello: Mutex<Option<Value>>,
    /// What it is answered.
    welcome: Mutex<Option<Value>>,
    pub answers: Answers,
    over: Mutex<bool>,
    over_changed: Condvar,
}

impl Lifecycle {
    /// 0 after `shutdown`, else 1.
    pub fn status(&self) -> i32 {
        i32::from(!self.shut_down.load(Ordering::SeqCst))
    }

    pub fn take_initialize_params(&self) -> Value {
        self.hello
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take()
            .unwrap_or(Value::Null)
    }

    /// Sets what `initialize` is answered: as it is to be written, for the shapes of the library are many and large and say no more.
    pub fn set_initialize_result(&self, answer: Value) {
        *self.welcome.lock().unwrap_or_else(PoisonError::into_inner) = Some(answer);
    }

    /// The input is closed, or `exit` was said.
    pub fn request_exit(&self) {
        *self.over.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.over_changed.notify_all();
    }

    /// Waits; true when the end has come.
    pub fn wait_for_exit(&self, time: Duration) -> bool {
        let over = self.over.lock().unwrap_or_else(PoisonError::into_inner);
        let (over, _) = self
            .over_changed
            .wait_timeout_while(over, time, |over| !*over)
            .unwrap_or_else(PoisonError::into_inner);
        *over
    }

    fn answered_initialize(&self, ok: bool) {
        self.initialized.fetch_or(ok, Ordering::SeqCst);
        self.initializing.store(false, Ordering::SeqCst);
        if let Some(waker) = self
            .held_back
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take()
        {
            waker.wake();
        }
    }
}

pub struct Guard<S> {
    inner: S,
    life: Arc<Lifecycle>,
    outgoing: Outgoing,
}

impl<S> Guard<S> {
    pub(super) fn new(inner: S, life: Arc<Lifecycle>, outgoing: Outgoing) -> Self {
        Guard {
            inner,
            life,
            outgoing,
        }
    }
}

type Answer = Result<Option<Response>, ExitedError>;

impl<S> Service<Request> for Guard<S>
where
    S: Service<Request, Response = Option<Response>, Error = ExitedError>,
    S::Future: Send + 'static,
{
    type Response = Option<Response>;
    type Error = ExitedError;
    type Future = Pin<Box<dyn Future<Output = Answer> + Send>>;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), ExitedError>> {
        if self.life.initializing.load(Ordering::SeqCst) {
            *self
                .life
                .held_back
                .lock()
                .unwrap_or_else(PoisonError::into_inner) = Some(cx.waker().clone());
            if self.life.initializing.load(Ordering::SeqCst) {
                return Poll::Pending;
            }
        }
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, request: Request) -> Self::Future {
        let request = self.note(request);
        let (method, id) = (request.method().to_owned(), request.id().cloned());
        let initialize = method == "initialize";
        let called = catch_unwind(AssertUnwindSafe(|| self.inner.call(request)));
        let (life, outgoing) = (self.life.clone(), self.outgoing.clone());
        Box::pin(async move {
            let answer = match called {
                Ok(future) => CatchUnwind(Box::pin(future)).await,
                Err(_) => None,
            };
            let answer = answer.unwrap_or_else(|| {
                eprintln!("phasewright: {method} failed; this is a fault of the program, the server goes on");
                Ok(id.clone().map(|id| Response::from_error(id, Error::internal_error())))
            });
            if initialize {
                let ok = answer
                    .as_ref()
                    .is_ok_and(|a| a.as_ref().is_some_and(Response::is_ok));
                life.answered_initialize(ok);
                let welcome = life
                    .welcome
                    .lock()
                    .unwrap_or_else(PoisonError::into_inner)
                    .take();
                if let (true, Some(id), Some(welcome)) = (ok, &id, welcome) {
                    return Ok(Some(Response::from_ok(id.clone(), welcome)));
                }
            }
            let answer = answer?;
            let ready = answer
                .as_ref()
                .and_then(Response::result)
                .and_then(Value::as_u64)
                .and_then(|number| life.answers.take(number));
            if let (Some(id), Some(text)) = (&id, ready) {
                outgoing.answer(id, &text).await;
                return Ok(None);
            }
            Ok(match (answer, id) {
                (Some(response), Some(id))
                    if response
                        .error()
                        .is_some_and(|e| e.code == ErrorCode::MethodNotFound) =>
                {
                    Some(Response::from_ok(id, Value::Null))
                }
                (None, Some(id)) => Some(Response::from_ok(id, Value::Null)),
                (response, _) => response,
            })
        })
    }
}

impl<S> Guard<S> {
    /// Notes what the message says about the life of the connection, and takes off what the service is too strict about.
    fn note(&self, request: Request) -> Request {
        match request.method() {
            "initialize" if !self.life.initialized.load(Ordering::SeqCst) => {
                self.life.initializing.store(true, Ordering::SeqCst);
                let (_, id, params) = request.into_parts();
                *self
                    .life
                    .hello
                    .lock()
                    .unwrap_or_else(PoisonError::into_inner) = params;
                bare("initialize", id, Some(json!({ "capabilities": {} })))
            }
            "initialized" => bare("initialized", None, Some(json!({}))),
            "shutdown" => {
                if self.life.initialized.load(Ordering::SeqCst) {
                    self.life.shut_down.store(true, Ordering::SeqCst);
                }
                let (_, id, _) = request.into_parts();
                bare("shutdown", id, None)
            }
            "exit" => {
                self.life.request_exit();
                bare("exit", None, None)
            }
            _ => request,
        }
    }
}

fn bare(
    method: &'static str,
    id: Option<tower_lsp::jsonrpc::Id>,
    params: Option<Value>,
) -> Request {
    let mut request = Request::build(method);
    if let Some(id) = id {
        request = request.id(id);
    }
    if let Some(params) = params {
        request = request.params(params);
    }
    request.finish()
}

/// A future whose panic is caught: none then.
struct CatchUnwind<F>(Pin<Box<F>>);

impl<F: Future> Future for CatchUnwind<F> {
    type Output = Option<F::Output>;

    fn poll(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<F::Output>> {
        match catch_unwind(AssertUnwindSafe(|| self.0.as_mut().poll(cx))) {
            Ok(poll) => poll.map(Some),
            Err(_) => Poll::Ready(None),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::outgoing::never_try_write;
    use super::*;
    use std::future::{Ready, ready};

    /// Panics when it is called, or when its answer is awaited.
    struct Faulty;

    impl Service<Request> for Faulty {
        type Response = Option<Response>;
        type Error = ExitedError;
        type Future = Pin<Box<dyn Future<Output = Answer> + Send>>;
        fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), ExitedError>> {
            Poll::Ready(Ok(()))
        }
        fn call(&mut self, request: Request) -> Self::Future {
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
        let mut guard = Guard::new(
            Faulty,
            Arc::default(),
            Outgoing::to(std::io::sink(), never_try_write).0,
        );
        let runtime = tokio::runtime::Builder::new_current_thread()
            .build()
            .expect("a runtime");
        runtime
            .block_on(guard.call(bare(method, id.map(Into::into), None)))
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
