//! The charts that are drawn from other answers than a forecast, as the command line names
//! them.

crate::kind::some_of_them! {
    Task: Topups = TopUps, Sensitivity = Sensitivity, Fit = Fit, Comparison = Comparison
}
