//! Litter bags: mass left, place and time.

use std::fmt;

use serde::Deserialize;

/// Mesh of the series read: 1 mm for leaves and 0.1 mm for roots, as nearly all have; bags of
/// wider mesh are in few places and for few years.
const MESH_MM: [(Part, f64); 2] = [(Part::Leaf, 1.0), (Part::Root, 0.1)];

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Part {
    Leaf,
    Root,
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Leaf => "leaf",
            Self::Root => "root",
        })
    }
}

/// The litter in a bag: a species by its code, and the part of the plant.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Litter {
    pub(crate) code: String,
    pub(crate) part: Part,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Site {
    pub(crate) name: String,
    /// Annual mean; degC.
    pub(crate) mean_c: f64,
}

/// One observation of the mass left of one kind of litter at one site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    /// Index in [`Series::sites`].
    pub(crate) site: usize,
    /// Index in [`Series::litters`].
    pub(crate) litter: usize,
    pub(crate) years: f64,
    /// Of the initial ash-free mass, taken as carbon; %.
    pub(crate) left_percent: f64,
}

/// All data.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Series {
    /// Coldest first.
    pub(crate) sites: Vec<Site>,
    pub(crate) litters: Vec<Litter>,
    pub(crate) points: Vec<Point>,
    /// Rows of sites whose mean temperature the file does not give.
    pub(crate) without_mean: usize,
    /// Rows of bags of another mesh.
    pub(crate) of_other_mesh: usize,
}

#[derive(Deserialize)]
struct Row {
    site: String,
    mat_c: Option<f64>,
    species: String,
    litter_type: String,
    top_mesh_mm: f64,
    years: f64,
    mass_remaining_pct: f64,
}

impl Row {
    fn part(&self) -> Result<Part, String> {
        match self.litter_type.as_str() {
            "litter" => Ok(Part::Leaf),
            "root" => Ok(Part::Root),
            other => Err(format!("litter_type is {other:?}; litter or root would do")),
        }
    }
}

/// Reads the file without bags on their first day, which are all at 100 %.
pub(crate) fn read(text: &str) -> Result<Series, String> {
    let mut series = Series {
        sites: Vec::new(),
        litters: Vec::new(),
        points: Vec::new(),
        without_mean: 0,
        of_other_mesh: 0,
    };
    let mut kept = Vec::new();
    for row in csv::Reader::from_reader(text.as_bytes()).deserialize() {
        let row: Row = row.map_err(|error| error.to_string())?;
        let part = row.part()?;
        let Some(mean_c) = row.mat_c else {
            series.without_mean += 1;
            continue;
        };
        // Both are written with one decimal in the file.
        if !MESH_MM.contains(&(part, row.top_mesh_mm)) {
            series.of_other_mesh += 1;
            continue;
        }
        if row.years <= 0.0 {
            continue;
        }
        let site = Site {
            name: row.site,
            mean_c,
        };
        let litter = Litter {
            code: row.species,
            part,
        };
        if !series.sites.contains(&site) {
            series.sites.push(site.clone());
        }
        if !series.litters.contains(&litter) {
            series.litters.push(litter.clone());
        }
        kept.push((site, litter, row.years, row.mass_remaining_pct));
    }
    series.sites.sort_by(|a, b| {
        let by_name = a.name.cmp(&b.name);
        a.mean_c.total_cmp(&b.mean_c).then(by_name)
    });
    series.litters.sort();
    for (site, litter, years, left_percent) in kept {
        let site = series.sites.iter().position(|known| *known == site);
        let litter = series.litters.iter().position(|known| *known == litter);
        let (Some(site), Some(litter)) = (site, litter) else {
            return Err("a site or litter was lost on the way".to_owned());
        };
        series.points.push(Point {
            site,
            litter,
            years,
            left_percent,
        });
    }
    Ok(series)
}

/// Number of series in the points: kinds of litter times their sites.
pub(crate) fn count_series<'a>(points: impl Iterator<Item = &'a Point>) -> usize {
    let mut pairs: Vec<(usize, usize)> = points.map(|p| (p.litter, p.site)).collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs.len()
}
