//! What `moulder climates` takes.

use clap::Args;

use super::look::Look;
use super::measure::elevation;

#[derive(Debug, Args)]
pub(crate) struct ClimatesArguments {
    /// One climate, to see its twelve months; without it, the list of all
    #[arg(num_args = 0..)]
    pub(crate) name: Vec<String>,

    /// The climates nearest to a place, in degrees; south and west are negative, as in
    /// 52.6,1.3 or -42.9,147.3
    #[arg(long, value_name = "LAT,LON", conflicts_with = "name", allow_hyphen_values = true,
          value_parser = spot)]
    pub(crate) near: Option<Spot>,

    /// How high that place lies above the sea, as in "120 m" or "400 ft"
    #[arg(long, value_name = "HEIGHT", requires = "near", allow_hyphen_values = true,
          value_parser = elevation)]
    pub(crate) elevation: Option<f64>,

    /// Answer in JSON, for programs
    #[arg(long)]
    pub(crate) json: bool,

    #[command(flatten)]
    pub(crate) look: Look,
}

/// A place on the map; degrees, south and west negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spot {
    pub(crate) latitude_deg: f64,
    pub(crate) longitude_deg: f64,
}

fn spot(text: &str) -> Result<Spot, String> {
    let place = text.split_once(',').and_then(|(latitude, longitude)| {
        let latitude_deg = latitude.trim().parse().ok()?;
        let longitude_deg = longitude.trim().parse().ok()?;
        let likely =
            (-90.0..=90.0).contains(&latitude_deg) && (-180.0..=180.0).contains(&longitude_deg);
        likely.then_some(Spot {
            latitude_deg,
            longitude_deg,
        })
    });
    place.ok_or_else(|| {
        "write latitude and longitude in degrees with a comma between and no blank, as in \
         52.6,1.3 (south and west are negative)"
            .to_owned()
    })
}
