//! What is dissolved in the water: a mister that shakes it into drops leaves it in the air as dust.

/// Milligrams of dust an hour, from what is dissolved in milligrams a litre and the water made into drops in grams an
/// hour.
///
/// # Range
/// Misters that throw drops, such as ultrasonic discs; what evaporates from a wick or a pot leaves its minerals behind.
///
/// # Source
/// Mass balance; Guo 2021, *Journal of Building Engineering*, doi 10.1016/j.jobe.2021.103147 (abstract read), found the
/// dust to rise in a straight line with what is dissolved.
pub fn dust_mg_h(solids_mg_l: f64, mist_g_h: f64) -> f64 {
    solids_mg_l * mist_g_h / 1000.0
}

/// Micrograms of that dust in a cubic metre of air once it is steady, if none of it settled: the most there can be.
///
/// # Range
/// Dust in milligrams an hour, airflow above 0 in cubic metres an hour; one mixed space.
///
/// # Source
/// Mass balance of one mixed space.
pub fn most_dust_ug_m3(dust_mg_h: f64, airflow_m3_h: f64) -> f64 {
    1000.0 * dust_mg_h / airflow_m3_h
}

/// How hard water is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hardness {
    /// Up to 60 mg/L.
    Soft,
    /// Up to 120 mg/L.
    Moderate,
    /// Up to 180 mg/L.
    Hard,
    /// Above that.
    VeryHard,
}

impl Hardness {
    /// The class of water with so many milligrams a litre of lime, counted as calcium carbonate.
    ///
    /// # Source
    /// Classes of the United States Geological Survey (from memory): 0 to 60, 61 to 120, 121 to 180, more.
    pub fn of(lime_mg_l: f64) -> Self {
        match lime_mg_l {
            lime if lime <= 60.0 => Self::Soft,
            lime if lime <= 120.0 => Self::Moderate,
            lime if lime <= 180.0 => Self::Hard,
            _ => Self::VeryHard,
        }
    }

    /// Its word in results.
    pub fn word(self) -> &'static str {
        match self {
            Self::Soft => "soft",
            Self::Moderate => "moderately hard",
            Self::Hard => "hard",
            Self::VeryHard => "very hard",
        }
    }
}

/// Milligrams a litre of lime, as calcium carbonate, in one German degree of hardness.
///
/// # Source
/// Ten milligrams a litre of calcium oxide, by molar masses 100.087 over 56.077, rounded (from memory).
pub const LIME_OF_GERMAN_DEGREE: f64 = 17.85;

/// The same in one French degree.
///
/// # Source
/// Definition (from memory).
pub const LIME_OF_FRENCH_DEGREE: f64 = 10.0;

/// Milligrams a litre dissolved in water that conducts one microsiemens a centimetre at 25 °C, and how far that may be
/// off as the half width of a rectangle: it depends on which salts they are.
///
/// # Source
/// 0.55 to 0.7 in most natural waters (American Public Health Association, *Standard Methods*, checking of analyses;
/// from memory): the middle, and half of the width.
pub const SOLIDS_OF_MICROSIEMENS: (f64, f64) = (0.625, 0.075);

#[cfg(test)]
mod tests {
    use super::{Hardness, LIME_OF_GERMAN_DEGREE, dust_mg_h, most_dust_ug_m3};

    #[test]
    fn hardness_is_named_as_the_survey_names_it() {
        use Hardness::{Hard, Moderate, Soft, VeryHard};
        for (lime, class) in [
            (0.0, Soft),
            (60.0, Soft),
            (61.0, Moderate),
            (120.0, Moderate),
            (121.0, Hard),
            (180.0, Hard),
            (181.0, VeryHard),
        ] {
            assert_eq!(Hardness::of(lime), class, "{lime}");
        }
        // Molar masses of lime and of what the German degree counts: 0.05 % from the usual 17.85.
        assert!((10.0 * 100.087 / 56.077 / LIME_OF_GERMAN_DEGREE - 1.0).abs() < 5e-4);
    }

    #[test]
    fn dust_is_what_was_dissolved() {
        // Plain arithmetic to nine decimals: 1e-9. The first row is of the size that Highsmith measured in a closed
        // room with water of 303 mg/L, over 6300 µg/m³.
        for (solids, mist, an_hour, a_day, volume, changes, most) in [
            (303.0, 250.0, 75.75, 1.818, 30.0, 0.5, 5_050.0),
            (300.0, 100.0, 30.0, 0.72, 0.5, 6.0, 10_000.0),
            (50.0, 100.0, 5.0, 0.12, 0.5, 6.0, 1_666.666_667),
            (150.0, 300.0, 45.0, 1.08, 33.5, 0.8, 1_679.104_478),
        ] {
            let dust = dust_mg_h(solids, mist);
            assert!((dust / an_hour - 1.0_f64).abs() < 1e-9, "{dust}");
            assert!((dust * 24.0 / 1000.0 / a_day - 1.0_f64).abs() < 1e-9);
            let got = most_dust_ug_m3(dust, volume * changes);
            assert!((got / most - 1.0).abs() < 1e-9, "{got}");
        }
    }

    #[test]
    fn the_dust_of_a_drop_is_as_fine_as_published() {
        // A drop of 2.9 µm leaves a grain of 2.9 (solids / 2200 kg/m³)^(1/3) µm, printed to six decimals of a
        // nanometre. Volumes of grain and drop are the same balance as an hour's dust: here of a drop's own water,
        // 1e-8. The published median for tap water is 146 nm (Yao 2020, abstract).
        let drop_g = std::f64::consts::PI / 6.0 * 2.9_f64.powi(3) * 1e-12;
        for (solids, nanometres) in [
            (50.0, 82.144_869),
            (150.0, 118.473_401),
            (300.0, 149.267_132),
            (500.0, 176.975_754),
        ] {
            let grain_g = dust_mg_h(solids, drop_g) / 1000.0;
            let grain_um = (grain_g * 1e12 / 2.2 * 6.0 / std::f64::consts::PI).cbrt();
            assert!(
                (1000.0 * grain_um / nanometres - 1.0).abs() < 1e-8,
                "{grain_um}"
            );
        }
    }
}
