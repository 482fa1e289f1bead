//! Everything the program says, held to the letter.
//!
//! When an answer changes on purpose (a number was tuned, a word was mended), write the
//! snapshots anew with one command, and read the difference before it is committed:
//!
//! ```text
//! TRYCMD=overwrite cargo test -p moulder-cli --test snapshots
//! ```

#[test]
fn every_answer_is_as_it_was() {
    trycmd::TestCases::new().case("tests/cmd/*.md");
}
