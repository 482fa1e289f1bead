//! The functions as C calls them: answers are those of the bridge, whatever comes in.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(unsafe_code, reason = "the border of C is what is tested")]

use std::ffi::{CStr, CString, c_void};
use std::ptr;

use moulder_c::{MoulderProgress, moulder_abi, moulder_ask, moulder_free, moulder_version};

fn ask(question: &[u8], progress: MoulderProgress, user: *mut c_void) -> String {
    let question = CString::new(question).unwrap();
    // SAFETY: the question ends with a 0 byte, and the answer is given back once.
    unsafe {
        let answer = moulder_ask(question.as_ptr(), progress, user);
        let text = CStr::from_ptr(answer).to_str().unwrap().to_owned();
        moulder_free(answer);
        text
    }
}

/// Counts its calls; stops at the fourth.
unsafe extern "C" fn stops_at_four(_done: u32, _of: u32, user: *mut c_void) -> i32 {
    // SAFETY: the test hands a counter over and waits for the answer.
    let count = unsafe { &mut *user.cast::<i32>() };
    *count += 1;
    i32::from(*count >= 4)
}

#[test]
fn it_is_the_bridge() {
    let [bag, box_] = [
        include_str!("../../../examples/beds/bulk-bag.toml"),
        include_str!("../../../examples/beds/log-box.toml"),
    ]
    .map(|bed| {
        let bed = bed.replace('"', "\\\"").replace('\n', "\\n");
        format!("{{\"id\":1,\"ask\":\"forecast\",\"bed\":\"{bed}\",\"months\":6,\"draws\":4}}")
    });
    let unwatched = |_, _| std::ops::ControlFlow::Continue(());
    for question in [&bag, &box_] {
        let answer = ask(question.as_bytes(), None, ptr::null_mut());
        assert!(answer.starts_with("{\"id\":1,\"answer\":{"));
        assert_eq!(answer, moulder_bridge::answer_line(question, &unwatched));
    }
    let mut count = 0_i32;
    let stopped = ask(
        bag.replace("\"draws\":4", "\"draws\":64").as_bytes(),
        Some(stops_at_four),
        (&raw mut count).cast(),
    );
    assert!(stopped.contains("\"code\":\"stopped\""), "{stopped}");
    assert!(count >= 4);
}

#[test]
fn whatever_comes_in_has_an_answer() {
    for question in [&b""[..], b"{", b"\xff\xfe", b"[]", b"{\"ask\":\"nothing\"}"] {
        assert!(ask(question, None, ptr::null_mut()).starts_with("{\"refused\":"));
    }
    // SAFETY: null is a question, and nothing to give back.
    unsafe {
        let answer = moulder_ask(ptr::null(), None, ptr::null_mut());
        assert!(!answer.is_null());
        moulder_free(answer);
        moulder_free(ptr::null_mut());
        let version = CStr::from_ptr(moulder_version());
        assert_eq!(version.to_str().unwrap(), env!("CARGO_PKG_VERSION"));
    }
    assert_eq!(moulder_abi(), moulder_c::MOULDER_ABI);
}
