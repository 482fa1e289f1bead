//! What an answer of `moulder` comes to in plain sentences and phrases, in the owner's units.
//!
//! A file a task. Numbers and codes come from `moulder`, and nothing there needs a word of
//! these.
//!
//! ```
//! use moulder::internals::forecast::forecast;
//! use moulder::internals::forecast::progress::unwatched;
//! use moulder::internals::library::Library;
//! use moulder::internals::read::read_toml;
//! use moulder_words::forecast::in_a_sentence;
//!
//! let text = r#"
//! format = 1
//! filled = 2026-03-14
//! climate = "Cambridge UK"
//! [bed]
//! shape = "round"
//! across = "1.2 m"
//! rim = "50 cm"
//! [[layer]]
//! put = [{ material = "loamy topsoil", amount = "45 cm" }]
//! "#;
//! let bed = read_toml(text, &Library::built_in())?;
//! let said = in_a_sentence(&forecast(&bed, 6, &unwatched)?);
//! assert!(said.is_some_and(|said| said.starts_with("By 14 Sep 2026 expect the surface about")));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod comparison;
pub mod default_value;
pub mod fit;
pub mod forecast;
pub mod ledger;
pub mod material;
pub mod mixture;
pub mod nitrogen;
pub mod plan;
pub mod range;
pub mod sensitivity;
pub mod topup;
pub mod topup_range;
pub mod warmth;
pub mod water;
