//! The command line of `moulder`.

mod abreast;
mod arguments;
mod assumed;
mod bed_file;
mod chart;
mod chart_kind;
mod check;
mod climates;
mod codes;
mod columns;
mod compare;
mod complaint;
mod draft;
mod faults;
mod file_line;
mod fit;
mod forecast;
mod ledger;
mod lines;
mod materials;
mod notices;
mod output;
mod packs;
mod plan;
mod progress;
mod refusal;
mod report;
mod run;
mod shelf;
mod spreadsheet;
mod starter;
mod table;
mod text_file;
mod topup;
mod trouble;
mod unknowns;
mod usage;

fn main() -> std::process::ExitCode {
    run::run()
}
