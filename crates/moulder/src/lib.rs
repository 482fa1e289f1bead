//! Projects how a deep garden bed filled with logs, prunings, green waste, card, turf and
//! topsoil sinks as it settles and rots: height, carbon, nitrogen and top-up volume month by
//! month, with honest intervals.
//!
//! Six types carry it: a [`Bed`] is described by a [`BedBuilder`] or read from a file, and
//! checked; a [`Library`] holds the materials and climates it may name; its [`Forecast`] has a
//! nominal run and an [`Interval`] for every figure of every month; whatever goes wrong is one
//! [`Error`].
//!
//! # How far does a bed sink?
//!
//! ```
//! use moulder::{Amount, Bed, Layer, Shape, date};
//!
//! let bed = Bed::builder(Shape::Box { width_m: 1.2, length_m: 2.4 }, date(2026, 3, 14))
//!     .rim_m(0.6)
//!     .climate("Cambridge UK")
//!     .layer(Layer::of("birch log", Amount::ThicknessM(0.30)))
//!     .layer(Layer::of("loamy topsoil", Amount::ThicknessM(0.30)))
//!     .build()?;
//! let forecast = bed.forecast().months(6).ensemble_size(20).run()?;
//! let below_rim_m = forecast.intervals[6].below_rim_m;
//! assert!(below_rim_m.is_some_and(|depth_m| depth_m.lower > 0.0));
//! # Ok::<(), moulder::Error>(())
//! ```
//!
//! # What does topping up take?
//!
//! ```
//! use moulder::{Bed, Package, TopUpRequest, top_ups};
//!
//! let request = TopUpRequest::new("garden compost")
//!     .in_packs(&Package::new("bag", 0.04).price(4.5))
//!     .months(14)
//!     .ensemble_size(20);
//! let plans = top_ups(&[Bed::example()], &request)?;
//! assert!(plans[0].bought() > 0);
//! # Ok::<(), moulder::Error>(())
//! ```
//!
//! # Which of two beds is better?
//!
//! ```
//! use std::ops::ControlFlow;
//!
//! use moulder::{Bed, Crop, ForecastOptions, compare};
//!
//! let beds = [Bed::example(), Bed::example().with_crop(Crop::None)];
//! let options = ForecastOptions::default().months(12).ensemble_size(20);
//! let compared = compare(&beds, &options, &|_done, _of| ControlFlow::Continue(()))?;
//! assert_eq!(compared.designs.len(), 2);
//! # Ok::<(), moulder::Error>(())
//! ```
//!
//! # Units and answers
//!
//! SI with the unit in every name; documents hold quantities as text with a unit. Answers are
//! plain data that serde writes and reads back: numbers, dates, notices and defaults by code.
//! The sentences about them are a crate of their own, `moulder-words`.
//!
//! # What it does not do
//!
//! It reads no file, clock, environment or network. Intervals rest on a prior of every parameter
//! and on how far the laws themselves may be off, which is our own closure: few beds were ever
//! measured.
//!
//! # Features
//!
//! All but `parallel`, `reference`, `places` and `places-light` are on by default.
//!
//! - `optimise`: [`plan`], by linear programmes.
//! - `schema`: JSON Schemas of documents and answers.
//! - `weather-csv`: `Climate::from_csv` and `WeatherRecord::from_csv`.
//! - `parallel`: realisations side by side, in the threads of the rayon pool that calls; the
//!   same bytes as without.
//! - `places`: climates of 25,000 towns by name, and of any place by degrees; 0.9 MB.
//! - `places-light`: the same of 5,000 towns and less sure; 0.25 MB, for the web.
//! - `reference`: the path of tight tolerances by which the fast one is judged; slow, for tests.
//!
//! # What semver covers
//!
//! The root, its modules, the JSON of answers (their field `schema`) and the bed file (format 1).
//! `internals` is for the other crates of this workspace, which pin this one exactly, and may
//! change with every version. Tested with the Rust version in `rust-version` and with stable.

mod bed;
mod compare;
mod fault;
mod feeding;
mod fit;
mod forecast;
mod ledger;
mod library;
mod model;
mod numeric;
mod plan;
mod quantity;
mod read;
#[cfg(test)]
mod support;
mod text;
mod topup;
mod tree;
mod uncertainty;

pub use bed::builder::{Addition, BedBuilder, Ingredient, Irrigation, Layer, Reading};
pub use bed::plan_request::{PlanRequest, StockItem};
pub use bed::{Amount, Bed, Placement};
pub use compare::{Comparison, compare};
pub use fault::error::Error;
pub use fault::notice::{Notice, Severity};
pub use fault::{Fault, FaultCode, Place};
pub use fit::Fit;
pub use fit::run::{Run, forecast_all};
pub use forecast::options::ForecastOptions;
pub use forecast::progress::Progress;
pub use forecast::{Forecast, Month, SettlementParts};
pub use jiff::civil::{Date, date};
pub use ledger::Ledger;
pub use library::Library;
pub use library::climates::Climate;
pub use library::crop::Crop;
pub use library::material::Material;
pub use moulder_core::bed::shape::Shape;
pub use moulder_core::value::Value as Sourced;
pub use numeric::interval::Interval;
pub use plan::Plan;
#[cfg(feature = "optimise")]
pub use plan::plan;
pub use quantity::units::Units;
pub use topup::request::{TopUpRequest, top_ups};
pub use topup::{Package, TopUpTrigger, TopUps};
pub use uncertainty::sensitivity::Sensitivity;

/// Bed documents: the bed file as a value, and its JSON Schema.
pub mod document {
    pub use crate::bed::document::*;
    pub use crate::bed::{Boards, StandsOn};
}

/// What a checked bed holds.
pub mod filled {
    pub use crate::bed::{Addition, Feed, Firmness, Ingredient, Irrigation, Layer, Reading};
    pub use crate::fault::notice::{DefaultUsed, Topic, topic};
    pub use crate::library::weather_record::{MeasuredDay, WeatherRecord};
}

/// What a library holds, and what may be wrong with it.
pub mod materials {
    pub use crate::fault::Faults;
    pub use crate::fault::error::NoRoom;
    pub use crate::fault::library_fault::{LibraryFault, LibraryFaults};
    pub use crate::library::climates::{Estimate, Station};
    pub use crate::library::material::{Class, Counts, Form, Pool, Rate, Sheet, Site};
    pub use crate::library::places::Town;
    pub use moulder_core::value::{Spread, Status};
}

/// Parts of a forecast and of a ledger.
pub mod months {
    pub use crate::forecast::day::{Day, days};
    pub use crate::forecast::intervals::MonthIntervals;
    pub use crate::forecast::nitrogen::{NitrogenRow, NitrogenYear, Suits};
    pub use crate::forecast::on_day::Expected;
    pub use crate::forecast::progress::unwatched;
    pub use crate::forecast::{Doubted, Ended, GivenReadings, LayerMonth, month_day};
    pub use crate::ledger::saving::Saving;
    pub use crate::ledger::{
        BurningIntervals, CarbonLeft, LedgerIntervals, LedgerRow, LedgerRowIntervals,
    };
    pub use crate::library::gas::{Burning, GasScreen};
}

/// How much to feed a bed.
pub mod feed {
    pub use crate::feeding::{Dose, Feeding, MonthAhead, feeding};
}

/// Parts of a fit, of a sensitivity analysis and of a comparison.
pub mod ensembles {
    pub use crate::compare::{Compared, ComparedTopUps, Design, ToppedUpWith, height_differences};
    pub use crate::fit::agreement::Agreement;
    pub use crate::fit::posterior_summary::{Direction, Moved, Part, PosteriorSummary};
    pub use crate::fit::{FitMonth, FitReading};
    pub use crate::uncertainty::group::{ParameterGroup, Theme};
    pub use crate::uncertainty::sensitivity::ParameterSensitivity;
    pub use crate::uncertainty::sobol::Estimate;
}

/// Parts of a plan and of what is asked of it.
pub mod fills {
    pub use crate::bed::plan_request::{Overrides, Price, Reported, Supply};
    pub use crate::plan::answer::{
        Aim, Alone, Buy, Fill, FillIntervals, FillLayer, Left, Put, Rule, Shortfall,
    };
    pub use crate::plan::role::Role;
}

/// Parts of a schedule of top-ups.
pub mod purchases {
    pub use crate::topup::request::top_ups_watched;
    pub use crate::topup::{
        Buying, DateInterval, PooledOrder, Restored, Sums, Together, TopUp, TopUpInterval,
        TopUpIntervals, YearOfTopUps, pooled_orders,
    };
}

/// What the other crates of this workspace use beside the front door. It may change with every
/// version.
#[doc(hidden)]
pub mod internals {
    pub mod bed {
        pub use crate::bed::*;
    }
    pub mod compare {
        pub use crate::compare::*;
    }
    pub mod fault {
        pub use crate::fault::*;
    }
    pub mod feeding {
        pub use crate::feeding::*;
    }
    pub mod fit {
        pub use crate::fit::*;
    }
    pub mod forecast {
        pub use crate::forecast::*;
    }
    pub mod ledger {
        pub use crate::ledger::*;
    }
    pub mod library {
        pub use crate::library::*;
    }
    pub mod model {
        pub use crate::model::*;
    }
    pub mod numeric {
        pub use crate::numeric::*;
    }
    pub mod plan {
        pub use crate::plan::*;
    }
    pub mod quantity {
        pub use crate::quantity::*;
    }
    pub mod read {
        pub use crate::read::*;
    }
    pub mod text {
        pub use crate::text::*;
    }
    pub mod topup {
        pub use crate::topup::*;
    }
    pub mod uncertainty {
        pub use crate::uncertainty::*;
    }
}
