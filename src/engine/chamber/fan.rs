//! What a fan moves: its curve, and where the curve meets what the duct asks for.

/// A fan's curve: which pressure it gives at which flow.
///
/// # Invariants
/// At least two points, flows rising from 0 or above, all numbers finite; the last point is free air.
#[derive(Debug, Clone, PartialEq)]
pub struct FanCurve {
    points: Vec<(f64, f64)>,
}

/// Where fan and duct meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// The flow, in cubic metres an hour.
    pub flow_m3_h: f64,
    /// Whether the curves meet more than once, so that the fan may surge between two flows.
    pub unsteady: bool,
}

/// In how many steps the curve is searched for a meeting.
///
/// judgement: curves are given by a handful of points, so their dips are wider than a hundredth.
const STEPS: u32 = 400;

impl FanCurve {
    /// A curve through points of flow in cubic metres an hour and pressure in pascal, in any order; none where fewer
    /// than two flows differ or a number is not finite and 0 or above.
    pub fn through(mut points: Vec<(f64, f64)>) -> Option<Self> {
        let usable = |number: f64| number.is_finite() && number >= 0.0;
        if !points
            .iter()
            .all(|&(flow, pressure)| usable(flow) && usable(pressure))
        {
            return None;
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        points.dedup_by(|a, b| a.0 == b.0);
        if points.len() < 2 {
            return None;
        }
        Some(Self { points })
    }

    /// The straight line from the greatest pressure at no flow to the greatest flow at no pressure, both above 0.
    ///
    /// # Source
    /// Usual first guess where no curve is known; a parabola would leave up to a sixth more flow, see the tests.
    pub fn straight(free_flow_m3_h: f64, stall_pressure_pa: f64) -> Option<Self> {
        if free_flow_m3_h <= 0.0 || stall_pressure_pa <= 0.0 {
            return None;
        }
        Self::through(vec![(0.0, stall_pressure_pa), (free_flow_m3_h, 0.0)])
    }

    /// The same fan at another speed, as a multiple of the present one.
    ///
    /// # Source
    /// Fan laws: flow goes with the speed, pressure with its square (textbook; a maker's data sheet agrees within
    /// an eighth, see the tests).
    #[must_use]
    pub fn at_speed(&self, times: f64) -> Self {
        let points = &self.points;
        Self {
            points: points
                .iter()
                .map(|&(flow, pressure)| (flow * times, pressure * times * times))
                .collect(),
        }
    }

    /// The same shape of curve for a fan of another free flow, in cubic metres an hour.
    #[must_use]
    pub fn stretched_to(&self, free_flow_m3_h: f64) -> Self {
        let times = free_flow_m3_h / self.free_flow_m3_h().max(f64::MIN_POSITIVE);
        let points = &self.points;
        Self {
            points: points
                .iter()
                .map(|&(flow, pressure)| (flow * times, pressure))
                .collect(),
        }
    }

    /// The greatest flow that the curve knows, in cubic metres an hour.
    pub fn free_flow_m3_h(&self) -> f64 {
        self.points.last().map_or(0.0, |&(flow, _)| flow)
    }

    /// The pressure it gives at a flow, in pascal, on straight lines between the points.
    pub fn pressure_pa(&self, flow_m3_h: f64) -> f64 {
        let (mut before, rest) = match self.points.split_first() {
            Some((first, rest)) => (*first, rest),
            None => return 0.0,
        };
        if flow_m3_h <= before.0 {
            return before.1;
        }
        for &after in rest {
            if flow_m3_h <= after.0 {
                let share = (flow_m3_h - before.0) / (after.0 - before.0);
                return before.1 + share * (after.1 - before.1);
            }
            before = after;
        }
        before.1
    }

    /// The flow at which the fan gives just the pressure that is lost; of several the greatest.
    ///
    /// `loss_pa` is what a flow in cubic metres an hour loses; it has to rise with the flow.
    pub fn meets(&self, loss_pa: &impl Fn(f64) -> f64) -> Meeting {
        let surplus = |flow: f64| self.pressure_pa(flow) - loss_pa(flow);
        let most = self.free_flow_m3_h();
        if surplus(most) >= 0.0 {
            return Meeting {
                flow_m3_h: most,
                unsteady: false,
            };
        }
        // A curve that only falls meets a loss that only rises once.
        if self.points.windows(2).all(|pair| pair[0].1 >= pair[1].1) {
            return Meeting {
                flow_m3_h: if surplus(0.0) < 0.0 {
                    0.0
                } else {
                    halve(&surplus, 0.0, most)
                },
                unsteady: false,
            };
        }
        let at = |step: u32| most * f64::from(step) / f64::from(STEPS);
        let mut found: Option<f64> = None;
        let mut crossings = 0;
        for step in (0..STEPS).rev() {
            let (low, high) = (at(step), at(step + 1));
            let (here, above) = (surplus(low) >= 0.0, surplus(high) >= 0.0);
            if here == above {
                continue;
            }
            crossings += 1;
            if found.is_none() {
                found = Some(halve(&surplus, low, high));
            }
        }
        Meeting {
            flow_m3_h: found.unwrap_or(0.0),
            unsteady: crossings > 1,
        }
    }
}

/// Where a falling surplus passes nought between two flows.
fn halve(surplus: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    // Sixty halvings leave less than a double can tell apart.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if surplus(middle) >= 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::FanCurve;
    use crate::engine::chamber::duct::{Duct, USUAL_DENSITY_KG_M3};

    fn hose(bore_mm: f64, length_m: f64, roughness_mm: f64, minor: f64, slack: f64) -> Duct {
        Duct {
            length_m,
            bore_m: bore_mm / 1000.0,
            roughness_m: roughness_mm / 1000.0,
            slack,
            minor,
        }
    }

    fn left(fan: &FanCurve, duct: Duct) -> f64 {
        fan.meets(&|flow| duct.loss_pa(flow, USUAL_DENSITY_KG_M3))
            .flow_m3_h
    }

    /// Δp = P (1 - (Q / Qmax)²) as a curve of many points.
    fn parabola() -> FanCurve {
        let points = (0..=2000)
            .map(|step| f64::from(step) / 2000.0)
            .map(|share| (120.0 * share, 30.0 * (1.0 - share * share)))
            .collect();
        FanCurve::through(points).expect("many points")
    }

    #[test]
    fn the_flow_left_by_a_hose_is_that_of_scipy() {
        // An assumed fan of 120 m³/h and 30 Pa, entrance and exit 1.5; scipy.optimize.brentq over the losses of fluids
        // 1.3.1, straight line and parabola. The line is the same equation: 1e-8. The parabola is cut into 2000
        // pieces here: 1e-5.
        let straight = FanCurve::straight(120.0, 30.0).expect("a fan");
        let parabola = parabola();
        for (bore, length, roughness, by_line, by_parabola) in [
            (100.0, 0.3, 3.0, 84.268_533, 94.760_791),
            (100.0, 1.0, 3.0, 79.943_889, 90.674_155),
            (100.0, 2.0, 3.0, 74.902_464, 85.646_901),
            (100.0, 3.0, 3.0, 70.801_654, 81.362_621),
            (100.0, 5.0, 3.0, 64.438_151, 74.405_103),
            (100.0, 0.3, 0.0015, 85.431_003, 95.843_491),
            (100.0, 1.0, 0.0015, 83.312_371, 93.945_813),
            (100.0, 2.0, 0.0015, 80.546_608, 91.393_069),
            (100.0, 3.0, 0.0015, 78.042_947, 89.009_236),
            (100.0, 5.0, 0.0015, 73.670_776, 84.683_261),
            (75.0, 0.3, 3.0, 59.913_955, 69.192_104),
            (75.0, 1.0, 3.0, 54.024_260, 62.304_149),
            (75.0, 2.0, 3.0, 48.130_840, 55.255_814),
            (75.0, 3.0, 3.0, 43.903_030, 50.142_407),
            (75.0, 5.0, 3.0, 38.081_859, 43.077_277),
            (50.0, 0.3, 1.0, 31.867_206, 35.531_859),
            (50.0, 1.0, 1.0, 27.578_047, 30.427_941),
            (50.0, 2.0, 1.0, 23.675_997, 25.843_595),
            (50.0, 3.0, 1.0, 21.070_751, 22.821_912),
            (50.0, 5.0, 1.0, 17.702_432, 18.969_320),
            (50.0, 0.3, 0.0015, 32.977_535, 36.899_610),
            (50.0, 1.0, 0.0015, 30.099_358, 33.513_911),
            (50.0, 2.0, 0.0015, 26.964_466, 29.828_632),
            (50.0, 3.0, 0.0015, 24.579_747, 27.034_582),
            (50.0, 5.0, 0.0015, 21.152_115, 23.045_343),
            (38.0, 0.3, 0.0015, 20.027_206, 21.610_770),
            (38.0, 1.0, 0.0015, 17.596_921, 18.870_908),
            (38.0, 2.0, 0.0015, 15.185_734, 16.170_483),
            (38.0, 3.0, 0.0015, 13.489_816, 14.285_762),
            (38.0, 5.0, 0.0015, 11.226_195, 11.793_816),
            (25.0, 0.3, 0.0015, 8.747_536, 9.067_984),
            (25.0, 1.0, 0.0015, 7.140_402, 7.363_868),
            (25.0, 2.0, 0.0015, 5.794_017, 5.946_261),
            (25.0, 3.0, 0.0015, 4.957_781, 5.071_432),
            (25.0, 5.0, 0.0015, 3.950_203, 4.023_942),
        ] {
            let duct = hose(bore, length, roughness, 1.5, 1.0);
            let got = left(&straight, duct);
            assert!(
                (got / by_line - 1.0).abs() < 1e-7,
                "{bore} mm {length} m: {got}"
            );
            let got = left(&parabola, duct);
            assert!(
                (got / by_parabola - 1.0).abs() < 1e-5,
                "{bore} mm {length} m: {got}"
            );
        }
    }

    #[test]
    fn bends_and_slack_cost_what_scipy_says() {
        let fan = FanCurve::straight(120.0, 30.0).expect("a fan");
        // The 2 m flexible duct of 100 mm with two bends (1.0 more), left slack, and pressed together; 1e-7.
        for (minor, slack, flow) in [
            (2.5, 1.0, 68.361_240),
            (1.5, 4.0, 57.648_501),
            (1.5, 10.0, 43.444_307),
        ] {
            let got = left(&fan, hose(100.0, 2.0, 3.0, minor, slack));
            assert!((got / flow - 1.0).abs() < 1e-7, "{minor} {slack}: {got}");
        }
    }

    #[test]
    fn the_fan_laws_are_near_a_printed_data_sheet() {
        // Maker's data sheet of a 40 mm fan, in m³/h: at 25000 rpm 54 and 1000 Pa. The laws are ideal; the sheet's own
        // rounding and losses leave them within 12 %.
        let full = FanCurve::straight(54.0, 1000.0).expect("a fan");
        for (speed, flow, pressure) in [(4400.0, 9.3, 32.0), (7800.0, 15.6, 87.0)] {
            let slow = full.at_speed(speed / 25_000.0);
            assert!((slow.free_flow_m3_h() / flow - 1.0).abs() < 0.09);
            assert!((slow.pressure_pa(0.0) / pressure - 1.0).abs() < 0.13);
        }
        // A smaller one, at 22000 rpm 48.6 m³/h and 800 Pa, at 4200 rpm 9.0 and 28.
        let small = FanCurve::straight(48.6, 800.0).expect("a fan");
        // Flow in m³/min and pressure in pascal as the laws give them by hand; the same equation: 1e-8.
        for (fan, share, flow, pressure) in [
            (&full, 4400.0 / 25_000.0, 0.1584, 30.976),
            (&full, 7800.0 / 25_000.0, 0.2808, 97.344),
            (&small, 4200.0 / 22_000.0, 0.154_636_364, 29.157_024_793),
        ] {
            let slow = fan.at_speed(share);
            assert!((slow.free_flow_m3_h() / 60.0 / flow - 1.0).abs() < 1e-8);
            assert!((slow.pressure_pa(0.0) / pressure - 1.0).abs() < 1e-8);
        }
        let slow = small.at_speed(4200.0 / 22_000.0);
        assert!((slow.free_flow_m3_h() / 9.0 - 1.0).abs() < 0.04);
        assert!((slow.pressure_pa(0.0) / 28.0 - 1.0).abs() < 0.05);
    }

    #[test]
    fn half_the_speed_and_half_the_bore_cost_what_rules_of_thumb_say() {
        // Fan laws: half the speed leaves half the flow and a quarter of the pressure.
        let fan = FanCurve::straight(120.0, 30.0).expect("a fan");
        let slow = fan.at_speed(0.5);
        assert_eq!((slow.free_flow_m3_h(), slow.pressure_pa(0.0)), (60.0, 7.5));
        // Through 30 cm of flexible duct, 50 instead of 100 mm cost over 60 % of the flow (31.87 of 84.27 m³/h, scipy).
        let wide = left(&fan, hose(100.0, 0.3, 3.0, 1.5, 1.0));
        let narrow = left(&fan, hose(50.0, 0.3, 1.0, 1.5, 1.0));
        assert!((0.36..0.40).contains(&(narrow / wide)), "{narrow} {wide}");
        // At half its speed less than a tenth of its flow comes through five metres of 25 mm hose.
        let long = hose(25.0, 5.0, 0.0015, 1.5, 1.0);
        assert!(left(&slow, long) < 0.1 * slow.free_flow_m3_h());
    }

    #[test]
    fn a_curve_with_a_dip_can_meet_the_duct_more_than_once() {
        let dip = vec![(0.0, 40.0), (30.0, 14.0), (60.0, 30.0), (100.0, 0.0)];
        let fan = FanCurve::through(dip).expect("a fan");
        let meeting = fan.meets(&|flow| 0.002 * flow * flow + 18.0);
        assert!(meeting.unsteady);
        let calm = fan.meets(&|flow| 0.01 * flow * flow);
        assert!(!calm.unsteady && calm.flow_m3_h < 60.0);
    }

    #[test]
    fn no_loss_leaves_the_whole_flow_and_a_blocked_duct_none() {
        let fan = FanCurve::straight(120.0, 30.0).expect("a fan");
        assert_eq!(fan.meets(&|_| 0.0).flow_m3_h, 120.0);
        let blocked = fan.meets(&|flow| 1e9 * flow).flow_m3_h;
        assert!(blocked < 1e-5, "{blocked}");
        assert_eq!(FanCurve::straight(0.0, 30.0), None);
        assert_eq!(FanCurve::through(vec![(0.0, f64::NAN), (3.0, 0.0)]), None);
    }
}
