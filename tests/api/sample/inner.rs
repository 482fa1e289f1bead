/// Seen through the module that uses it.
#[derive(Debug, Clone)]
pub struct Seen {
    /// Open.
    #[allow(dead_code)]
    pub seen_field: f64,
    hidden_field: f64,
    hidden_too: f64,
}

impl Seen {
    /// A method.
    pub fn seen_method(&self) -> f64 {
        self.hidden_method()
    }

    fn hidden_method(&self) -> f64 {
        self.hidden_field
    }
}

struct Hidden;

impl Iterator for Hidden {
    type Item = f64;
    fn next(&mut self) -> Option<f64> {
        None
    }
}

impl Iterator for Seen {
    type Item = f64;
    fn next(&mut self) -> Option<f64> {
        None
    }
}
