//! [`moulder_bridge`] for C: a question as JSON in, an answer as JSON out.
//!
//! The header is `include/moulder.h`. No panic leaves a function: it becomes an answer.

use std::ffi::{CStr, CString, c_char, c_void};
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, PoisonError};

use moulder_bridge::answer_line;

/// Version of this interface: it changes when a program has to be built again.
pub const MOULDER_ABI: u32 = 1;

/// Called while a question is answered, with how much of it is done and of how much: from any
/// thread, never two at once. Anything but 0 stops it, and the answer is then `"stopped"`.
pub type MoulderProgress =
    Option<unsafe extern "C" fn(done: u32, of: u32, user: *mut c_void) -> i32>;

/// What a caller wants its progress function to be given. The caller answers for its use in the
/// threads that call.
struct User(*mut c_void);

#[allow(
    unsafe_code,
    reason = "the pointer is only handed back, and the header says from which threads"
)]
// SAFETY: it is never read here, and calls with it follow one another under a lock.
unsafe impl Send for User {}

/// Answers a question: JSON in UTF-8 that ends with a 0 byte. The answer is JSON too:
/// `{"answer": ..}` or `{"refused": {"code", "message", "faults"}}`, with the `"id"` of the question
/// where it has one. It is never null and is given back with `moulder_free`.
///
/// `progress` may be null; `user` is handed to it.
///
/// # Safety
///
/// `question` is null or ends with a 0 byte; `progress` does not unwind.
#[allow(unsafe_code, reason = "the border of C")]
#[unsafe(no_mangle)]
pub unsafe extern "C" fn moulder_ask(
    question: *const c_char,
    progress: MoulderProgress,
    user: *mut c_void,
) -> *mut c_char {
    let text = if question.is_null() {
        String::new()
    } else {
        // SAFETY: the caller's text ends with a 0 byte.
        let text = unsafe { CStr::from_ptr(question) };
        // What is no UTF-8 is shown by a sign.
        text.to_string_lossy().into_owned()
    };
    let user = Mutex::new(User(user));
    let watch = |done: u32, of: u32| {
        let Some(progress) = progress else {
            return ControlFlow::Continue(());
        };
        let user = user.lock().unwrap_or_else(PoisonError::into_inner);
        // SAFETY: the caller's function, with the caller's pointer, one call at a time.
        match unsafe { progress(done, of, user.0) } {
            0 => ControlFlow::Continue(()),
            _ => ControlFlow::Break(()),
        }
    };
    let answer = catch_unwind(AssertUnwindSafe(|| answer_line(&text, &watch)));
    let answer = answer.unwrap_or_else(|_| FAULT.to_owned());
    // JSON escapes a 0 byte.
    let answer = CString::new(answer).unwrap_or_else(|_| CString::from(c"{}"));
    answer.into_raw()
}

/// The answer to a question that met a fault of this library.
const FAULT: &str = r#"{"refused":{"code":"unfinished","message":"this question met a fault of the library; please report it","faults":[]}}"#;

/// Gives an answer back; null does nothing.
///
/// # Safety
///
/// `answer` is null or came from `moulder_ask`, and is given back once.
#[allow(unsafe_code, reason = "the border of C")]
#[unsafe(no_mangle)]
pub unsafe extern "C" fn moulder_free(answer: *mut c_char) {
    if !answer.is_null() {
        // SAFETY: the caller got it from `moulder_ask` and does not use it any more.
        drop(unsafe { CString::from_raw(answer) });
    }
}

/// Version of the library, as in "0.1.0"; it is not given back.
#[allow(unsafe_code, reason = "a name that C can find")]
#[unsafe(no_mangle)]
pub extern "C" fn moulder_version() -> *const c_char {
    const VERSION: &CStr =
        match CStr::from_bytes_with_nul(concat!(env!("CARGO_PKG_VERSION"), "\0").as_bytes()) {
            Ok(version) => version,
            Err(_) => c"",
        };
    VERSION.as_ptr()
}

/// Version of the interface that the library has: `MOULDER_ABI` of its header.
#[allow(unsafe_code, reason = "a name that C can find")]
#[unsafe(no_mangle)]
pub extern "C" fn moulder_abi() -> u32 {
    MOULDER_ABI
}
