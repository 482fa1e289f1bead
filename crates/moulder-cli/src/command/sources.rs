//! `moulder sources`: what every figure rests on.

use std::fmt::Write;

use clap::Args;
use moulder::internals::fault::FaultCode;
use moulder::internals::library::sources::{Source, Sources, sources};
use moulder_words::sources::{counted, explained, in_a_line, in_a_phrase};

use crate::print::lines::{apart, counted as so_many, hanging, plain, safe};
use crate::print::look::Look;
use crate::print::screen::pretty;
use crate::print::table::Table;
use crate::trouble::Trouble;
use crate::trouble::refusal::Refusal;

#[derive(Debug, Args)]
pub(crate) struct SourcesArguments {
    /// A word of a source, a material or a figure, to see what rests on it, as in jenkinson or
    /// straw; without it, all sources with how much rests on each
    #[arg(num_args = 0..)]
    pub(crate) word: Vec<String>,

    /// Answer in JSON, for programs: each source with its figures
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

/// The answer to what was asked.
pub(crate) fn answer(asked: &SourcesArguments) -> Result<String, Trouble> {
    let all = sources();
    if asked.word.is_empty() {
        return Ok(if asked.json {
            pretty(all)
        } else {
            list(all, asked.look)
        });
    }
    let word = asked.word.join(" ");
    let found = all.with_word(&word);
    if found.sources.is_empty() && found.climates.is_empty() {
        let said = format!(
            "No source and no figure has a word that begins with \"{}\". moulder sources lists \
             all sources, moulder materials all materials.",
            safe(&word)
        );
        return Err(Trouble::bad_input(
            Refusal::new(FaultCode::BadOption, said).option("<WORD>"),
        ));
    }
    Ok(if asked.json {
        pretty(&found)
    } else {
        figures(&found)
    })
}

/// All sources, those with most figures first.
fn list(all: &Sources, look: Look) -> String {
    let mut said = plain(&format!("{}.", counted()));
    said += &apart(&explained(all));
    said.push('\n');
    let mut table = Table::of(&all.sources);
    table
        .wrapped("what they rest on", |source: &Source| source.name.clone())
        .right("figures", |source| source.tally.figures.to_string())
        .right("read", |source| source.tally.read.to_string())
        .right("recalled", |source| source.tally.recalled.to_string())
        .right("judged", |source| source.tally.judged.to_string());
    said += &table.drawn(look);
    said +=
        &apart("What rests on one of them: moulder sources WORD, as in moulder sources jenkinson.");
    said
}

/// What was found, source by source.
fn figures(found: &Sources) -> String {
    let mut said = String::new();
    for source in &found.sources {
        if !said.is_empty() {
            said.push('\n');
        }
        let many = so_many(source.tally.figures, "figure", "figures");
        let head = format!("{}: {many}, {}", source.name, in_a_phrase(&source.tally));
        said += &hanging(0, 2, &head);
        for figure in &source.figures {
            said += &hanging(2, 6, &in_a_line(figure));
        }
    }
    for normals in &found.climates {
        if !said.is_empty() {
            said.push('\n');
        }
        let means = normals.monthly_means;
        let _ = write!(
            said,
            "{}",
            hanging(
                0,
                2,
                &format!(
                    "{}: {means} monthly means, from {}",
                    normals.climate, normals.source
                )
            )
        );
    }
    said
}
