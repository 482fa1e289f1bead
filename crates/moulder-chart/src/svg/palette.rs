//! Colours, our own: for paper and for a dark screen.
//!
//! The four accents differ in lightness as well as in hue, so that they stay apart for
//! those who see no red or green, and in grey. No chart depends on them alone.

/// A colour: red, green, blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl core::fmt::Display for Colour {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

/// A colour in each of the two schemes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tone {
    /// On paper.
    pub light: Colour,
    /// On a dark screen.
    pub dark: Colour,
}

const fn tone(light: (u8, u8, u8), dark: (u8, u8, u8)) -> Tone {
    Tone {
        light: Colour(light.0, light.1, light.2),
        dark: Colour(dark.0, dark.1, dark.2),
    }
}

/// What everything stands on.
pub const PAPER: Tone = tone((0xfd, 0xfc, 0xf8), (0x15, 0x18, 0x1c));
/// Words, axes and hatching.
pub const TEXT: Tone = tone((0x1c, 0x1c, 0x1a), (0xf2, 0xf0, 0xea));
/// Quiet text.
pub const QUIET: Tone = tone((0x55, 0x54, 0x4e), (0xb9, 0xb6, 0xad));
/// Lines that help the eye across.
pub const GRID: Tone = tone((0xd8, 0xd5, 0xcc), (0x3a, 0x3d, 0x42));
/// Intervals.
pub const BAND: Tone = tone((0xcf, 0xda, 0xe8), (0x33, 0x46, 0x5c));
/// The edge of it.
pub const BAND_EDGE: Tone = tone((0x8a, 0x9d, 0xb8), (0x6f, 0x86, 0xa3));
/// The ground that hatching is drawn on.
pub const HATCHED: Tone = tone((0xf4, 0xf1, 0xe8), (0x24, 0x28, 0x2d));
/// The same for each hatch, in its order: wood, brush, chips, soft, card, turf, compost,
/// soil, settling.
pub const HATCH_TONES: [Tone; 9] = [
    tone((0xf0, 0xdf, 0xbd), (0x46, 0x3b, 0x2a)),
    tone((0xf2, 0xea, 0xd8), (0x33, 0x2f, 0x28)),
    tone((0xef, 0xdc, 0xb8), (0x45, 0x38, 0x23)),
    tone((0xea, 0xed, 0xd2), (0x2e, 0x34, 0x27)),
    tone((0xf0, 0xe2, 0xc8), (0x40, 0x36, 0x2a)),
    tone((0xdb, 0xe6, 0xc9), (0x2b, 0x38, 0x26)),
    tone((0xdb, 0xc8, 0xae), (0x3f, 0x32, 0x24)),
    tone((0xe4, 0xd2, 0xb8), (0x3a, 0x2f, 0x24)),
    tone((0xcf, 0xda, 0xe8), (0x2b, 0x3a, 0x4d)),
];
/// Sound wood cut across.
pub const TIMBER: Tone = tone((0xf0, 0xdf, 0xbd), (0x5a, 0x4a, 0x32));
/// Bark, and sticks in theirs.
pub const BARK: Tone = tone((0x4f, 0x36, 0x1f), (0xd9, 0xba, 0x8c));
/// Rings of a log.
pub const RING: Tone = tone((0x96, 0x74, 0x47), (0xb3, 0x98, 0x6c));
/// Migrated fines.
pub const CRUMB: Tone = tone((0x5c, 0x42, 0x2a), (0xc9, 0xa9, 0x82));
/// The boards of a bed.
pub const BOARD: Tone = tone((0xc9, 0xb4, 0x91), (0x6b, 0x5c, 0x45));
/// The ground beside a bed.
pub const EARTH: Tone = tone((0xe6, 0xdf, 0xd0), (0x30, 0x2d, 0x28));
/// Four for lines and bars, from dark to light on paper.
pub const ACCENTS: [Tone; 4] = [
    tone((0x16, 0x30, 0x5e), (0xff, 0xdf, 0x9e)),
    tone((0x8f, 0x3b, 0x12), (0x7f, 0xc0, 0xf7)),
    tone((0x2f, 0x7b, 0xc4), (0xd9, 0x79, 0x3f)),
    tone((0xbd, 0x81, 0x10), (0x6a, 0x78, 0xc8)),
];

#[cfg(test)]
mod tests {
    use super::*;

    type Linear = [f64; 3];

    /// Machado, Oliveira & Fernandes 2009 (IEEE TVCG 15:1291-1298), severity 1: no cones
    /// for red. Figures from memory, found alike in several open programs.
    const NO_RED: [[f64; 3]; 3] = [
        [0.152_286, 1.052_583, -0.204_868],
        [0.114_503, 0.786_281, 0.099_216],
        [-0.003_882, -0.048_116, 1.051_998],
    ];
    /// The same, no cones for green.
    const NO_GREEN: [[f64; 3]; 3] = [
        [0.367_322, 0.860_646, -0.227_968],
        [0.280_085, 0.672_501, 0.047_413],
        [-0.011_820, 0.042_940, 0.968_881],
    ];
    const FULL: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    /// IEC 61966-2-1, as WCAG 2 uses it.
    fn linear(colour: Colour) -> Linear {
        [colour.0, colour.1, colour.2].map(|byte| {
            let value = f64::from(byte) / 255.0;
            if value <= 0.040_45 {
                value / 12.92
            } else {
                libm::pow((value + 0.055) / 1.055, 2.4)
            }
        })
    }

    /// Relative luminance of WCAG 2.
    fn luminance(colour: Colour) -> f64 {
        let [red, green, blue] = linear(colour);
        0.2126 * red + 0.7152 * green + 0.0722 * blue
    }

    /// Contrast ratio of WCAG 2.
    fn contrast(one: Colour, other: Colour) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    fn seen(by: &[[f64; 3]; 3], colour: Colour) -> Linear {
        let from = linear(colour);
        by.map(|row| {
            let sum: f64 = row.iter().zip(from).map(|(share, part)| share * part).sum();
            sum.clamp(0.0, 1.0)
        })
    }

    /// CIE 1976 L*a*b* for daylight D65.
    fn lab([red, green, blue]: Linear) -> [f64; 3] {
        let x = 0.412_456_4 * red + 0.357_576_1 * green + 0.180_437_5 * blue;
        let y = 0.212_672_9 * red + 0.715_152_2 * green + 0.072_175_0 * blue;
        let z = 0.019_333_9 * red + 0.119_192_0 * green + 0.950_304_1 * blue;
        let [x, y, z] = [x / 0.950_47, y, z / 1.088_83].map(|t| {
            if t > 216.0 / 24389.0 {
                libm::cbrt(t)
            } else {
                (24389.0 / 27.0 * t + 16.0) / 116.0
            }
        });
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    fn schemes() -> [fn(Tone) -> Colour; 2] {
        [|tone| tone.light, |tone| tone.dark]
    }

    #[test]
    fn contrast_is_that_of_the_guidelines() {
        let (black, white) = (Colour(0, 0, 0), Colour(255, 255, 255));
        assert!((contrast(black, white) - 21.0).abs() < 1e-9);
        // #767676 is the lightest grey that passes on white.
        assert!(contrast(Colour(0x76, 0x76, 0x76), white) >= 4.5);
        assert!(contrast(Colour(0x77, 0x77, 0x77), white) < 4.5);
    }

    #[test]
    fn words_are_legible_on_all_they_may_stand_on() {
        for of in schemes() {
            for under in [PAPER, BAND, HATCHED] {
                assert!(contrast(of(TEXT), of(under)) >= 7.0);
                assert!(contrast(of(QUIET), of(under)) >= 4.5);
            }
            for under in HATCH_TONES {
                assert!(contrast(of(TEXT), of(under)) >= 7.0, "{under:?}");
            }
            // What a cross-section is read by, on the air around it.
            for drawn in [BARK, CRUMB] {
                assert!(contrast(of(drawn), of(PAPER)) >= 4.5, "{drawn:?}");
                assert!(contrast(of(drawn), of(TIMBER)) >= 3.0, "{drawn:?}");
            }
            // Lines and bars: 3 to 1 (WCAG 2.1, 1.4.11).
            for accent in ACCENTS {
                assert!(contrast(of(accent), of(PAPER)) >= 3.0, "{accent:?}");
            }
            assert!(contrast(of(ACCENTS[0]), of(BAND)) >= 3.0);
        }
    }

    #[test]
    fn accents_stay_apart_for_every_eye_and_in_grey() {
        for of in schemes() {
            for (at, one) in ACCENTS.iter().enumerate() {
                for other in &ACCENTS[..at] {
                    for eye in [&FULL, &NO_RED, &NO_GREEN] {
                        let (one, other) = (lab(seen(eye, of(*one))), lab(seen(eye, of(*other))));
                        let squares = one.iter().zip(other).map(|(a, b)| (a - b) * (a - b));
                        let apart = squares.sum::<f64>().sqrt();
                        // Ten times the just noticeable difference (2.3; Mahy et al. 1994, from
                        // memory), to suffice for thin lines.
                        assert!(apart >= 23.0, "{apart} {one:?} {other:?}");
                    }
                    let lightness = |tone: &Tone| lab(linear(of(*tone)))[0];
                    assert!((lightness(one) - lightness(other)).abs() >= 7.0);
                }
            }
        }
    }

    #[test]
    fn an_eye_that_lacks_cones_sees_white_as_white() {
        for row in NO_RED.iter().chain(&NO_GREEN) {
            assert!((row.iter().sum::<f64>() - 1.0).abs() < 2e-6);
        }
    }
}
