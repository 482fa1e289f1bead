//! Sums and means of rows, field by field.

/// Gives a row `add` and `divide` over the fields named; those after the bar are left as they are.
macro_rules! summed {
    ($row:ty: $($field:ident),+ $(| $($kept:ident),+)?) => {
        impl $row {
            fn add(&mut self, other: &Self) {
                // Names every field, so that a new one is not forgotten.
                let Self { $($field: _,)+ $($($kept: _,)+)? } = self;
                $(self.$field += other.$field;)+
            }

            fn divide(&mut self, by: f64) {
                $(self.$field /= by;)+
            }
        }
    };
}

pub(crate) use summed;
