//! The command line of `moulder`.

mod arguments;
mod assumed;
mod bed_file;
mod check;
mod climates;
mod codes;
mod faults;
mod forecast;
mod lines;
mod materials;
mod new;
mod notices;
mod output;
mod run;
mod shelf;
mod table;
mod text_file;
mod trouble;

fn main() -> std::process::ExitCode {
    run::run()
}
