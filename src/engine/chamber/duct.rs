//! What a duct or hose costs: pressure lost to friction, bends, ends and filters.

use std::f64::consts::PI;

/// Density of air in a chamber where nothing better is known, in kilograms a cubic metre.
///
/// # Source
/// Moist air at 20 °C and sea level, rounded (CoolProp 8.0.0 gives 1.2046).
pub const USUAL_DENSITY_KG_M3: f64 = 1.2;

/// Dynamic viscosity of air, in pascal seconds.
///
/// # Range
/// 10 to 30 °C within 3 %.
///
/// # Source
/// Air at 20 °C, rounded (CoolProp 8.0.0 gives 1.8206e-5).
pub const VISCOSITY_PA_S: f64 = 1.81e-5;

/// Reynolds number below which the flow is taken as laminar.
///
/// # Source
/// As in the fluids library (1.3.1), with which the table test compares; textbooks say about 2000 to 2300.
const LAMINAR_BELOW: f64 = 2040.0;

/// A round duct or hose with all that narrows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duct {
    /// Length along its middle, in metres.
    pub length_m: f64,
    /// Inner diameter, in metres.
    pub bore_m: f64,
    /// Height of the unevenness of its wall, in metres.
    pub roughness_m: f64,
    /// By how much its friction is multiplied because it hangs slack; 1 where stretched.
    pub slack: f64,
    /// Sum of the loss coefficients of ends, bends and filters, each in velocity pressures.
    pub minor: f64,
}

impl Duct {
    /// Speed of the air in it, in metres a second, for a flow in cubic metres an hour.
    pub fn speed_m_s(self, flow_m3_h: f64) -> f64 {
        4.0 * flow_m3_h / 3600.0 / (PI * self.bore_m * self.bore_m)
    }

    /// Reynolds' number of the flow in it.
    ///
    /// # Source
    /// Definition, with [`VISCOSITY_PA_S`].
    pub fn reynolds(self, flow_m3_h: f64, density_kg_m3: f64) -> f64 {
        density_kg_m3 * self.speed_m_s(flow_m3_h) * self.bore_m / VISCOSITY_PA_S
    }

    /// Pressure lost in it, in pascal, at this flow in cubic metres an hour and density in kilograms a cubic metre.
    ///
    /// # Range
    /// Flows of 0 and above; full of steadily moving air.
    ///
    /// # Source
    /// Darcy and Weisbach's equation with minor losses (textbook).
    pub fn loss_pa(self, flow_m3_h: f64, density_kg_m3: f64) -> f64 {
        if flow_m3_h <= 0.0 {
            return 0.0;
        }
        let speed = self.speed_m_s(flow_m3_h);
        let reynolds = self.reynolds(flow_m3_h, density_kg_m3);
        let friction = friction_factor(reynolds, self.roughness_m / self.bore_m);
        let lengths = self.slack * friction * self.length_m / self.bore_m;
        (lengths + self.minor) * 0.5 * density_kg_m3 * speed * speed
    }
}

/// Darcy's friction factor from the Reynolds number and the roughness in bores.
///
/// # Range
/// Roughness up to 0.05 of the bore. Between laminar and full turbulence no formula is good; there it is a guess.
///
/// # Source
/// Laminar: 64 / Re (textbook). Turbulent: Colebrook 1939 (from memory), solved by Newton's rule from the start that
/// Haaland 1983 gives, *Journal of Fluids Engineering* 105:89 (from memory).
pub fn friction_factor(reynolds: f64, roughness: f64) -> f64 {
    if reynolds < LAMINAR_BELOW {
        return 64.0 / reynolds.max(1e-9);
    }
    let mut root = 1.0 / libm::sqrt(haaland(reynolds, roughness));
    for _ in 0..50 {
        let inside = roughness / 3.7 + 2.51 * root / reynolds;
        let miss = root + 2.0 * libm::log10(inside);
        let slope = 1.0 + 2.0 * 2.51 / (reynolds * inside * std::f64::consts::LN_10);
        let step = miss / slope;
        root -= step;
        if step.abs() < 1e-15 * root.abs() {
            break;
        }
    }
    1.0 / (root * root)
}

/// Loss of one smooth right-angled bend in velocity pressures, from the friction factor in it and the radius of its
/// middle in bores.
///
/// # Range
/// Radius of half a bore and more; a mitred knee loses more, about 1.1.
///
/// # Source
/// Rennels and Hudson, *Pipe Flow* (from memory, as in fluids 1.3.1, `bend_rounded`).
pub fn bend_loss(friction: f64, radius_in_bores: f64) -> f64 {
    let angle = 0.5 * PI;
    let sine = libm::sin(0.5 * angle);
    let along = friction * angle * radius_in_bores;
    let turned = (0.10 + 2.4 * friction) * sine;
    // The power is four times the angle over half a turn.
    let tight = 6.6 * friction * (libm::sqrt(sine) + sine) / (radius_in_bores * radius_in_bores);
    along + turned + tight
}

fn haaland(reynolds: f64, roughness: f64) -> f64 {
    let root = -1.8 * libm::log10(libm::pow(roughness / 3.7, 1.11) + 6.9 / reynolds);
    1.0 / (root * root)
}

#[cfg(test)]
mod tests {
    use super::{Duct, USUAL_DENSITY_KG_M3, VISCOSITY_PA_S, bend_loss, friction_factor, haaland};

    #[test]
    fn friction_factors_are_those_of_the_fluids_library() {
        // fluids 1.3.1, friction.Colebrook and friction.Haaland; the same equations, so to 1e-10.
        for (reynolds, roughness, colebrook, by_haaland) in [
            (4_000.0, 0.009, 0.048_236_241_549_66, 0.048_377_410_189_83),
            (10_000.0, 0.0, 0.030_882_950_353_49, 0.030_886_203_731_32),
            (10_000.0, 0.001, 0.032_381_806_363_09, 0.032_174_894_739_98),
            (20_000.0, 0.03, 0.058_673_911_377_75, 0.058_814_100_731_45),
            (100_000.0, 0.001, 0.022_174_535_944_52, 0.021_966_214_014_08),
        ] {
            let got = friction_factor(reynolds, roughness);
            assert!((got / colebrook - 1.0).abs() < 1e-10, "{reynolds}: {got}");
            let got = haaland(reynolds, roughness);
            assert!((got / by_haaland - 1.0).abs() < 1e-10, "{reynolds}: {got}");
        }
        assert_eq!(friction_factor(1000.0, 0.01), 0.064);
    }

    #[test]
    fn losses_are_those_of_the_fluids_library() {
        // fluids 1.3.1, friction_factor(Re, eD, Method="Colebrook") in Darcy and Weisbach's equation, density 1.2 and
        // viscosity 1.81e-5; to 1e-9. m³/h, bore in mm, length in m, roughness in mm, loss of ends and bends, m/s,
        // Reynolds' number, friction factor, Pa by friction, by ends and bends, in all.
        #[rustfmt::skip]
        let table = [
            (50.0, 100.0, 2.0, 3.0, 1.5, 1.7683882566, 11724.121038, 0.059691352209, 2.2399994293, 2.8144773234, 5.0544767527),
            (50.0, 100.0, 2.0, 0.0015, 1.5, 1.7683882566, 11724.121038, 0.029645280039, 1.1124795789, 2.8144773234, 3.9269569023),
            (20.0, 50.0, 1.0, 1.0, 1.5, 2.8294212105, 9379.296830, 0.052498416887, 5.0433912779, 7.2050619479, 12.2484532258),
            (20.0, 50.0, 2.0, 1.0, 1.5, 2.8294212105, 9379.296830, 0.052498416887, 10.0867825558, 7.2050619479, 17.2918445037),
            (100.0, 100.0, 3.0, 3.0, 2.2, 3.5367765132, 23448.242076, 0.058457825405, 13.1622579183, 16.5116002973, 29.6738582156),
            (10.0, 38.0, 1.5, 0.0015, 1.5, 2.4492912141, 6170.590020, 0.035273220117, 5.0116977423, 5.3991247063, 10.4108224486),
        ];
        for (
            flow,
            bore_mm,
            length_m,
            roughness_mm,
            minor,
            speed,
            reynolds,
            factor,
            rubs,
            turns,
            total,
        ) in table
        {
            let duct = Duct {
                length_m,
                bore_m: bore_mm / 1000.0,
                roughness_m: roughness_mm / 1000.0,
                slack: 1.0,
                minor,
            };
            let near = |got: f64, wanted: f64| {
                assert!(
                    (got / wanted - 1.0_f64).abs() < 1e-9,
                    "{flow} m³/h: {got} is not {wanted}"
                );
            };
            near(duct.speed_m_s(flow), speed);
            near(duct.reynolds(flow, USUAL_DENSITY_KG_M3), reynolds);
            near(
                friction_factor(reynolds, duct.roughness_m / duct.bore_m),
                factor,
            );
            let straight = Duct { minor: 0.0, ..duct };
            let short = Duct {
                length_m: 0.0,
                ..duct
            };
            near(straight.loss_pa(flow, USUAL_DENSITY_KG_M3), rubs);
            near(short.loss_pa(flow, USUAL_DENSITY_KG_M3), turns);
            near(duct.loss_pa(flow, USUAL_DENSITY_KG_M3), total);
        }
    }

    #[test]
    fn bends_lose_what_the_fluids_library_says() {
        // fluids 1.3.1, fittings.bend_rounded(Di=.1, angle=90, fd=.03, Re=2e4), bent over 1 and 1.5 bores; eight
        // digits.
        for (radius, loss) in [(1.0, 0.475_250_89), (1.5, 0.328_532_48)] {
            let got = bend_loss(0.03, radius);
            assert!((got / loss - 1.0).abs() < 2e-8, "{radius}: {got}");
        }
    }

    #[test]
    fn the_usual_air_of_a_duct_is_near_that_of_coolprop() {
        // CoolProp 8.0.0, dry air at 20 °C; rounded here, to 0.6 %.
        assert!((USUAL_DENSITY_KG_M3 / 1.204_575_182_5 - 1.0).abs() < 6e-3);
        assert!((VISCOSITY_PA_S / 1.820_567_5e-5 - 1.0).abs() < 6e-3);
    }

    #[test]
    fn a_small_opening_is_a_loss_without_length() {
        // Textbook orifice, 0.61 A sqrt(2 Δp / density): 10 mm at 1 Pa pass 0.2226622493 m³/h. Here it is a duct of no
        // length with the loss 1 / 0.61², the same equation: 1e-9.
        let opening = Duct {
            length_m: 0.0,
            bore_m: 0.01,
            roughness_m: 0.0,
            slack: 1.0,
            minor: 1.0 / (0.61 * 0.61),
        };
        let got = opening.loss_pa(0.222_662_249_3, USUAL_DENSITY_KG_M3);
        assert!((got - 1.0).abs() < 1e-9, "{got}");
    }

    #[test]
    fn slack_multiplies_friction_and_still_air_loses_nothing() {
        let stretched = Duct {
            length_m: 2.0,
            bore_m: 0.1,
            roughness_m: 0.003,
            slack: 1.0,
            minor: 0.0,
        };
        let slack = Duct {
            slack: 4.0,
            ..stretched
        };
        let ratio = slack.loss_pa(50.0, 1.2) / stretched.loss_pa(50.0, 1.2);
        assert!((ratio - 4.0).abs() < 1e-12);
        assert_eq!(stretched.loss_pa(0.0, 1.2), 0.0);
    }
}
