//! Tables for spreadsheets, as CSV.

use moulder::fault::FaultCode;

use crate::refusal::Refusal;
use crate::trouble::Trouble;

/// A heading and rows as CSV.
pub(crate) fn csv(
    heading: &[String],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<String, Trouble> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut record = writer.write_record(heading);
    for row in rows {
        if record.is_err() {
            break;
        }
        record = writer.write_record(row);
    }
    record
        .map_err(|error| error.to_string())
        .and_then(|()| writer.into_inner().map_err(|error| error.to_string()))
        .and_then(|bytes| String::from_utf8(bytes).map_err(|error| error.to_string()))
        .map_err(|error| {
            let said = format!("The table cannot be written: {error}.");
            Trouble::cannot(Refusal::new(FaultCode::Unfinished, said))
        })
}

/// A number to five places: a hundredth of a millimetre, of a gram, of a thousandth part.
pub(crate) fn places(value: f64) -> String {
    let text = format!("{value:.5}");
    if text == "-0.00000" {
        "0.00000".to_owned()
    } else {
        text
    }
}
