//! The committed pages of the manual match freshly generated ones.

use moulder::internals::read::manual::{bed_file_page, codes_page, plan_file_page};

const TO_MEND: &str = "make it anew: cargo run --example write_docs";

#[test]
fn the_page_on_the_bed_file_is_not_stale() {
    assert!(
        include_str!("../../../docs/bed-file.md") == bed_file_page(),
        "{TO_MEND}"
    );
}

#[test]
fn the_page_on_the_codes_is_not_stale() {
    assert!(
        include_str!("../../../docs/codes.md") == codes_page(),
        "{TO_MEND}"
    );
}

#[test]
fn the_page_on_the_plan_file_is_not_stale() {
    assert!(
        include_str!("../../../docs/plan-file.md") == plan_file_page(),
        "{TO_MEND}"
    );
}
