//! [`moulder_bridge`] for the web: a question as JSON in, an answer as JSON out.
//!
//! The module needs nothing from its host: it never calls an import, and has none of its own. What
//! a host does is three calls: [`moulder_room`], write the question there, [`moulder_ask`]; read
//! the answer, [`moulder_free`]. A question that takes long is asked in parts (`"realisations"`,
//! `"merge"`), so that a host can show how far it is, stop it, and share it among workers.

use std::hint::black_box;
use std::ops::ControlFlow;
use std::ptr::{null_mut, slice_from_raw_parts_mut};

use moulder_bridge::{MOST_BYTES, answer_line};

/// Where a text lies and how long it is; bytes.
#[repr(C)]
#[derive(Debug)]
pub struct Text {
    at: *mut u8,
    length: usize,
}

/// Room for a question of so many bytes; null where a question may not be so long.
#[allow(unsafe_code, reason = "a name that a host can find")]
#[unsafe(no_mangle)]
pub extern "C" fn moulder_room(length: usize) -> *mut u8 {
    // A line above the limit is refused in words, and one byte is enough to tell it from others.
    if length > MOST_BYTES + 1 {
        return null_mut();
    }
    handed_out(vec![0; length]).0
}

/// Answers the question in a room, which it takes back. The answer is a line of JSON and is given
/// back with [`moulder_free`].
///
/// # Safety
///
/// `question` came from [`moulder_room`] with that `length` and is handed over once.
#[allow(unsafe_code, reason = "the border of the web")]
#[unsafe(no_mangle)]
pub unsafe extern "C" fn moulder_ask(question: *mut u8, length: usize) -> *mut Text {
    // SAFETY: it is the room that was handed out, and comes back once.
    let question = unsafe { handed_back(question, length) };
    make_room(length);
    let question = String::from_utf8_lossy(&question);
    let answer = answer_line(&question, &|_done, _of| ControlFlow::Continue(()));
    let (at, length) = handed_out(answer.into_bytes());
    Box::into_raw(Box::new(Text { at, length }))
}

/// Gives an answer back; null does nothing.
///
/// # Safety
///
/// `answer` is null or came from [`moulder_ask`], and is given back once.
#[allow(unsafe_code, reason = "the border of the web")]
#[unsafe(no_mangle)]
pub unsafe extern "C" fn moulder_free(answer: *mut Text) {
    if answer.is_null() {
        return;
    }
    // SAFETY: both came from `moulder_ask` and come back once.
    unsafe {
        let text = Box::from_raw(answer);
        drop(handed_back(text.at, text.length));
    }
}

/// Version of the library, as in "0.1.0"; it is given back like an answer.
#[allow(unsafe_code, reason = "a name that a host can find")]
#[unsafe(no_mangle)]
pub extern "C" fn moulder_version() -> *mut Text {
    let (at, length) = handed_out(env!("CARGO_PKG_VERSION").as_bytes().to_vec());
    Box::into_raw(Box::new(Text { at, length }))
}

/// Memory grows by a page at a time, which costs a browser a millisecond: what a long question is
/// going to need is asked for at once.
fn make_room(length: usize) {
    /// Questions shorter than this need no more than there is; bytes.
    const LONG: usize = 1 << 20;
    let mut room: Vec<u8> = Vec::new();
    // Without it the question is answered as well.
    if length > LONG && room.try_reserve_exact(length).is_ok() {
        black_box(&mut room);
    }
}

/// Bytes as a host may read and write them.
fn handed_out(bytes: Vec<u8>) -> (*mut u8, usize) {
    let bytes = Box::leak(bytes.into_boxed_slice());
    (bytes.as_mut_ptr(), bytes.len())
}

/// The bytes that were handed out.
///
/// # Safety
///
/// Both come from [`handed_out`], once.
#[allow(unsafe_code, reason = "the border of the web")]
unsafe fn handed_back(at: *mut u8, length: usize) -> Vec<u8> {
    // SAFETY: these are the bytes of a boxed slice.
    unsafe { Box::from_raw(slice_from_raw_parts_mut(at, length)) }.into_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Asks as a host does.
    #[allow(unsafe_code, reason = "the border of the web")]
    fn asked(question: &[u8]) -> String {
        let room = moulder_room(question.len());
        assert!(!room.is_null());
        // SAFETY: the room has that length, and the answer is read before it goes back.
        unsafe {
            std::slice::from_raw_parts_mut(room, question.len()).copy_from_slice(question);
            let answer = moulder_ask(room, question.len());
            let text = std::slice::from_raw_parts((*answer).at, (*answer).length);
            let text = String::from_utf8_lossy(text).into_owned();
            moulder_free(answer);
            text
        }
    }

    #[test]
    fn answers_come_across_and_so_do_refusals() {
        let question = br#"{"id": 1, "ask": "towns", "begins": "lyo", "at_most": 1}"#;
        assert_eq!(
            asked(question).split("\"latitude_deg\"").next(),
            Some(r#"{"id":1,"answer":[{"label":"Lyon, France","#)
        );
        assert!(asked(b"").starts_with(r#"{"refused":{"#));
        assert!(asked(b"\xff{").starts_with(r#"{"refused":{"#));
        let long = vec![b' '; MOST_BYTES + 1];
        assert!(
            asked(&long).contains(r#""code":"too-big""#),
            "{}",
            asked(&long)
        );
        assert!(moulder_room(MOST_BYTES + 2).is_null());
        assert!(moulder_room(usize::MAX).is_null());
    }

    #[test]
    fn null_may_go_back_and_the_layout_is_two_words() {
        // SAFETY: null does nothing.
        #[allow(unsafe_code, reason = "the border of the web")]
        unsafe {
            moulder_free(null_mut());
        }
        assert_eq!(size_of::<Text>(), 2 * size_of::<usize>());
    }
}
