//! Why fine mist dissolves and coarse drops pool: how long a drop lives, and how far it falls meanwhile.

use crate::engine::chamber::cooling::latent_j_g;
use crate::engine::climate::{Air, saturation_pressure_pa};

/// Gas constant of water vapour in joules a kilogram and kelvin.
///
/// # Source
/// Molar gas constant over the molar mass of water.
const GAS_CONSTANT_VAPOUR: f64 = 461.523;

/// Density of water in kilograms a cubic metre.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const WATER_KG_M3: f64 = 998.207_150_47;

/// Density of air in kilograms a cubic metre.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const AIR_KG_M3: f64 = 1.204_575_182_5;

/// Viscosity of air in pascal seconds.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const AIR_PA_S: f64 = 1.820_567_517_85e-5;

/// Standard gravity in metres a second squared.
const GRAVITY_M_S2: f64 = 9.806_65;

/// Mean free path of air molecules in metres, for the slip of very small drops.
///
/// # Source
/// Textbook aerosol value at 20 °C and sea level (from memory).
const FREE_PATH_M: f64 = 66e-9;

/// Surface tension of water in newtons a metre.
///
/// # Source
/// CoolProp 8.0.0 at 20 °C.
const TENSION_N_M: f64 = 0.072_816_755_7;

/// Speed at which a drop falls in still air, in metres a second, from its width in micrometres.
///
/// # Range
/// 1 to 500 µm; larger drops are no longer round.
///
/// # Source
/// Stokes with Cunningham's slip (textbook, from memory); for what is too large for that, the drag of Schiller and
/// Naumann 1935 (from memory).
pub fn fall_m_s(width_um: f64) -> f64 {
    let width = width_um * 1e-6;
    let slow = stokes_m_s(width_um) * slip(width_um);
    let (mut low, mut high) = (0.0, slow);
    // Sixty halvings leave less than a double can tell apart.
    for _ in 0..60 {
        let speed = 0.5 * (low + high);
        let reynolds = AIR_KG_M3 * speed * width / AIR_PA_S;
        if speed * (1.0 + 0.15 * libm::pow(reynolds, 0.687)) > slow {
            high = speed;
        } else {
            low = speed;
        }
    }
    0.5 * (low + high)
}

/// The speed without slip, where only the air's viscosity holds the drop.
fn stokes_m_s(width_um: f64) -> f64 {
    let width = width_um * 1e-6;
    (WATER_KG_M3 - AIR_KG_M3) * GRAVITY_M_S2 * width * width / (18.0 * AIR_PA_S)
}

/// By how much a very small drop falls faster, because it slips between the molecules of the air.
fn slip(width_um: f64) -> f64 {
    let knudsen = 2.0 * FREE_PATH_M / (width_um * 1e-6);
    1.0 + knudsen * (1.257 + 0.4 * libm::exp(-1.1 / knudsen))
}

/// Width in micrometres of the drops that a disc of so many hertz throws: half of them are smaller, by number.
///
/// # Range
/// Water of 20 °C, measured for 10 to 800 kHz; the discs of misters swing at 1.7 to 3 MHz, beyond that. A measured 4.5
/// µm at 1 MHz is near. A few large drops carry most of the water.
///
/// # Source
/// Lang 1962, *Journal of the Acoustical Society of America* 34:6: 0.34 of the length of the waves on the water
/// (abstract read).
pub fn disc_drops_um(hertz: f64) -> f64 {
    0.34 * wave_um(hertz)
}

/// Length in micrometres of the waves that a disc of so many hertz raises on water.
fn wave_um(hertz: f64) -> f64 {
    let cube = 8.0 * std::f64::consts::PI * TENSION_N_M / (WATER_KG_M3 * hertz * hertz);
    1e6 * libm::cbrt(cube)
}

/// How fast the square of a drop's width shrinks, in square micrometres a second.
///
/// # Range
/// Pure water of about 1 to 100 µm, alone in its air, 10 to 30 °C.
///
/// # Source
/// The d-squared law of an evaporating drop (textbook; Holterman 2003 gives it in full). The drop is as cool as the
/// heat that air conducts to it and the vapour that leaves it make it.
pub fn shrink_um2_s(temperature_c: f64, humidity_percent: f64) -> f64 {
    shrinking(temperature_c, humidity_percent).1
}

/// Temperature of a drop that evaporates, and how fast the square of its width shrinks.
fn shrinking(temperature_c: f64, humidity_percent: f64) -> (f64, f64) {
    let air = Air::new(temperature_c, humidity_percent);
    let vapour = air.vapour_pressure_pa() / kelvin(temperature_c);
    let leaving = |drop_c: f64| {
        let driving = saturation_pressure_pa(drop_c) / kelvin(drop_c) - vapour;
        diffusivity_m2_s(0.5 * (temperature_c + drop_c)) / GAS_CONSTANT_VAPOUR * driving
    };
    let gains = |drop_c: f64| {
        let conducted =
            conductivity_w_mk(0.5 * (temperature_c + drop_c)) * (temperature_c - drop_c);
        conducted > 1000.0 * latent_j_g(drop_c) * leaving(drop_c)
    };
    let (mut low, mut high) = (temperature_c - 40.0, temperature_c);
    // Sixty halvings leave less than a double can tell apart.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if gains(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    let drop_c = 0.5 * (low + high);
    (drop_c, 8.0 * leaving(drop_c) / WATER_KG_M3 * 1e12)
}

fn kelvin(temperature_c: f64) -> f64 {
    temperature_c + 273.15
}

/// How quickly vapour spreads in air, in square metres a second.
///
/// # Source
/// Massman 1998, *Atmospheric Environment* 32:1111 (from memory).
pub fn diffusivity_m2_s(temperature_c: f64) -> f64 {
    0.2178e-4 * libm::pow(kelvin(temperature_c) / 273.15, 1.81)
}

/// Heat that air conducts, in watts a metre and kelvin.
///
/// # Range
/// 0 to 40 °C.
///
/// # Source
/// Straight line through the usual table values of dry air, 0.0244 at 0 °C and 0.0259 at 20 °C (from memory).
pub fn conductivity_w_mk(temperature_c: f64) -> f64 {
    0.0244 + 7.5e-5 * temperature_c
}

/// Seconds until a drop is gone, and the metres it would fall in that time; none in full air, where it never goes.
///
/// # Source
/// [`shrink_um2_s`] and [`fall_m_s`]: under the d-squared law a drop falls half as far as at its first speed.
pub fn life(width_um: f64, temperature_c: f64, humidity_percent: f64) -> Option<(f64, f64)> {
    let shrink = shrink_um2_s(temperature_c, humidity_percent);
    (shrink > 0.0).then(|| {
        let seconds = width_um * width_um / shrink;
        (seconds, 0.5 * fall_m_s(width_um) * seconds)
    })
}

/// Width in micrometres from which drops land before they are gone, when they fall so many metres; none in full air,
/// where every drop lands.
///
/// # Range
/// Up to some 70 µm, where drops begin to fall more slowly than the formula says.
///
/// # Source
/// The d-squared law with Stokes' speed, solved for the width.
pub fn lands_from_um(fall_m: f64, temperature_c: f64, humidity_percent: f64) -> Option<f64> {
    let shrink = 1e-12 * shrink_um2_s(temperature_c, humidity_percent);
    (shrink > 0.0).then(|| {
        let weight = (WATER_KG_M3 - AIR_KG_M3) * GRAVITY_M_S2;
        1e6 * libm::pow(36.0 * AIR_PA_S * shrink * fall_m / weight, 0.25)
    })
}

/// Grams of water that so many cubic metres of this air still take up before it is full.
///
/// # Source
/// Definition of saturation.
pub fn room_for_water_g(air: Air, volume_m3: f64) -> f64 {
    let full = Air::new(air.temperature_c(), 100.0).absolute_humidity_g_m3();
    volume_m3 * (full - air.absolute_humidity_g_m3())
}

#[cfg(test)]
mod tests {
    use super::{
        disc_drops_um, fall_m_s, lands_from_um, life, room_for_water_g, shrinking, slip,
        stokes_m_s, wave_um,
    };
    use crate::engine::climate::Air;

    #[track_caller]
    fn near(got: f64, wanted: f64, share: f64) {
        assert!(
            (got / wanted - 1.0).abs() <= share,
            "{got} is not {wanted} within {share}"
        );
    }

    #[test]
    fn drops_fall_as_the_fluids_library_says() {
        // µm, Cunningham's slip, m/s by Stokes, by Stokes with slip, by fluids 1.3.1 v_terminal (full drag, no slip),
        // seconds for half a metre, by Stokes with slip up to 50 µm. The first three are the same equations: 1e-8. With
        // drag ours is that of Schiller and Naumann, theirs that of Barati: 4 % apart at most, counting in the slip
        // that theirs leaves out.
        #[rustfmt::skip]
        let table = [
            (1.0, 1.16593669, 2.983579818e-05, 3.478665181e-05, 2.983579818e-05, 14373.329),
            (2.0, 1.08296200, 0.0001193431927, 0.0001292441428, 0.0001193431927, 3868.6473),
            (3.0, 1.05530800, 0.0002685221836, 0.0002833736085, 0.0002685221836, 1764.4551),
            (5.0, 1.03318480, 0.0007458949544, 0.0007706473293, 0.0007458949544, 648.80521),
            (10.0, 1.01659240, 0.002983579818, 0.003033084567, 0.002983579818, 164.84868),
            (20.0, 1.00829620, 0.01193431927, 0.01203332877, 0.01193263539, 41.551262),
            (30.0, 1.00553080, 0.02685221836, 0.02700073261, 0.02677350023, 18.518016),
            (50.0, 1.00331848, 0.07458949544, 0.07483701919, 0.07270696946, 6.6811854),
            (100.0, 1.00165924, 0.2983579818, 0.2988530293, 0.253707477, 1.9707736),
            (200.0, 1.00082962, 1.193431927, 1.194422022, 0.6781830954, 0.73726403),
        ];
        for (width, slips, stokes, slipping, with_drag, seconds) in table {
            near(slip(width), slips, 1e-8);
            near(stokes_m_s(width), stokes, 1e-8);
            near(stokes_m_s(width) * slip(width), slipping, 1e-8);
            let falls = if width > 50.0 { with_drag } else { slipping };
            near(0.5 / falls, seconds, 1e-7);
            near(0.5 / fall_m_s(width), seconds, 0.06);
            near(fall_m_s(width), with_drag * slip(width), 0.04);
        }
    }

    #[test]
    fn a_disc_throws_drops_as_wide_as_a_third_of_its_waves() {
        // Lang 1962 with water of CoolProp 8.0.0 at 20 °C: Hz, µm of wave, µm of drop; the same formula: 1e-9.
        #[rustfmt::skip]
        let table = [
            (40e3, 104.642_998_40, 35.578_619_456_5), (100e3, 56.808_959_66, 19.315_046_285_4),
            (1e6, 12.239_119_34, 4.161_300_575_7), (1.65e6, 8.765_180_69, 2.980_161_435_0),
            (1.7e6, 8.592_460_72, 2.921_436_643_3), (2.4e6, 6.827_724_81, 2.321_426_433_8),
            (3e6, 5.883_954_87, 2.000_544_655_7),
        ];
        for (hertz, wave, drop) in table {
            near(wave_um(hertz), wave, 1e-9);
            near(disc_drops_um(hertz), drop, 1e-9);
        }
        // With rounded tension 0.0728 and density 1000: 0.1 %.
        near(disc_drops_um(1.7e6), 2.919_465_735_3, 1e-3);
        near(disc_drops_um(2.4e6), 2.319_860_314_6, 1e-3);
        // Measured at 1 MHz: 4.5 µm (abstract read). Poor agreement, 8 %, with what is said to agree very well.
        near(disc_drops_um(1e6), 4.5, 0.08);
    }

    #[test]
    fn drops_shrink_as_coolprop_says() {
        // The same balance with CoolProp 8.0.0 for conductivity and latent heat (scipy brentq): t, RH, °C of the drop,
        // wet bulb (PsychroLib 2.5.0), µm²/s, seconds to live at 3, 5, 10, 20, 50 and 100 µm, µm from which drops land
        // when they fall half a metre. Here both are straight lines: 0.2 % on the rates, a quarter of that on the
        // width, 0.01 K.
        #[rustfmt::skip]
        let table = [
            (20.0, 50.0, 13.262537, 13.783554, 559.58855220, [0.016083245, 0.044675682, 0.17870273, 0.71481091, 4.4675682, 17.870273], 65.808621),
            (20.0, 80.0, 17.488480, 17.679232, 210.87947260, [0.042678407, 0.11855113, 0.47420452, 1.8968181, 11.855113, 47.420452], 51.561336),
            (20.0, 90.0, 18.771702, 18.864451, 103.47865638, [0.086974457, 0.24159572, 0.96638286, 3.8655314, 24.159572, 96.638286], 43.154718),
            (20.0, 95.0, 19.392454, 19.438199, 51.26601345, [0.1755549, 0.48765251, 1.95061, 7.8024401, 48.765251, 195.061], 36.205368),
            (20.0, 98.0, 19.758534, 19.776685, 20.39490015, [0.44128679, 1.2257966, 4.9031865, 19.612746, 122.57966, 490.31865], 28.753849),
            (18.0, 90.0, 16.831836, 16.922409, 97.63286880, [0.092182071, 0.25606131, 1.0242452, 4.0969809, 25.606131, 102.42452], 42.531882),
            (25.0, 50.0, 17.331602, 17.889342, 648.28590507, [0.013882764, 0.038563232, 0.15425293, 0.61701172, 3.8563232, 15.425293], 68.274296),
        ];
        for (t, humidity, drop_c, wet, shrink, lives, lands) in table {
            let (got_c, got) = shrinking(t, humidity);
            assert!((got_c - drop_c).abs() < 0.01, "{t} {humidity}: {got_c}");
            assert!(
                (Air::new(t, humidity).wet_bulb_c() - wet).abs() < 6e-7,
                "{t} {humidity}"
            );
            near(got, shrink, 2e-3);
            for (width, seconds) in [3.0, 5.0, 10.0, 20.0, 50.0, 100.0].into_iter().zip(lives) {
                // The printed seconds are those of the printed rate, and ours of ours.
                near(width * width / shrink, seconds, 1e-7);
                near(
                    life(width, t, humidity).expect("the air has room").0,
                    seconds,
                    2e-3,
                );
            }
            near(
                lands_from_um(0.5, t, humidity).expect("the air has room"),
                lands,
                6e-4,
            );
        }
        // Netz 2020 (abstract read): from 2 m at half humidity drops below a radius of 49 µm dry up; the formula with
        // the rate at 25 °C and 50 % gives 48.4509.
        let radius = 0.5 * lands_from_um(2.0, 25.0, 50.0).expect("the air has room");
        // That is with the viscosity at 25 °C, ours with that at 20 °C: 0.4 %.
        near(radius, 48.4509, 0.004);
        near(radius, 49.0, 0.015);
        assert!(lands_from_um(0.5, 20.0, 100.0).is_none_or(|width| width < 1.0));
    }

    #[test]
    fn the_room_for_water_is_soon_used_up() {
        // Gas law with PsychroLib 2.5.0: t, RH, m³, g; 3e-8, half of the last digit printed.
        for (t, humidity, volume, grams) in [
            (18.0, 90.0, 0.25, 0.384_061_63),
            (20.0, 90.0, 0.5, 0.864_331_87),
            (20.0, 95.0, 0.25, 0.216_082_97),
            (20.0, 85.0, 1.0, 2.592_995_62),
        ] {
            near(room_for_water_g(Air::new(t, humidity), volume), grams, 3e-8);
        }
        // From 92 % a mister of 300 g/h fills 0.25 and 1 m³ at 20 °C in so many seconds; four decimals.
        for (volume, seconds) in [(0.25, 4.1488), (1.0, 16.5952)] {
            let room = room_for_water_g(Air::new(20.0, 92.0), volume);
            near(3600.0 * room / 300.0, seconds, 2e-5);
        }
    }

    #[test]
    fn coarse_drops_reach_the_floor_and_fine_mist_does_not() {
        // Common practice: coarse droplets pool where fine mist does not. At 90 % and 20 °C a 3 µm drop is gone in a
        // tenth of a second; one of 50 µm needs 24 s and has fallen half a metre long before.
        let (seconds, fallen) = life(3.0, 20.0, 90.0).expect("the air has room");
        assert!(seconds < 0.1 && fallen < 0.001, "{seconds} {fallen}");
        let (seconds, fallen) = life(50.0, 20.0, 90.0).expect("the air has room");
        assert!(seconds > 20.0 && fallen > 0.5, "{seconds} {fallen}");
        assert!(life(3.0, 20.0, 100.0).is_none_or(|(seconds, _)| seconds > 1e6));
    }
}
