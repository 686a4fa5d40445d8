//! Walls: resistances, faces, margins and what would keep them dry.

use blockside::engine::chamber::wall::{CORNER_M2K_W, STILL_AIR_M2K_W, Wall, layer_m2k_w};
use blockside::engine::climate::Air;

use crate::check_values::{close, rows};

fn wall(layers_m2k_w: f64, inner_m2k_w: f64) -> Wall {
    Wall {
        layers_m2k_w,
        inner_m2k_w,
        outer_m2k_w: STILL_AIR_M2K_W,
    }
}

#[test]
fn faces_of_walls_are_those_of_resistances_in_series() {
    // Inside 20 °C and 90 %, dew point 18.310203257798 °C (PsychroLib 2.5.0). Room, thickness in mm, W/(m K), then
    // resistance of the layer, conductance, face and margin, the face's share of the difference, and face and margin
    // where a still corner has 0.25. Resistances of ISO 6946 and ISO 13788, conductivities of ISO 10456 (all from
    // memory). Plain arithmetic, eight decimals: 6e-9, and 6e-9 more for the dew point.
    let air = Air::new(20.0, 90.0);
    for [
        room,
        mm,
        conducts,
        layer,
        u,
        face,
        margin,
        share,
        corner,
        corner_margin,
    ] in rows(
        "
        18 0 1 0.00000000 3.84615385 19.00000000 0.68979674 0.50000000 18.68421053 0.37400727
        18 2.5 0.22 0.01136364 3.68509213 19.04187605 0.73167279 0.52093802 18.72241580 0.41221254
        18 4 1.0 0.00400000 3.78787879 19.01515152 0.70494826 0.50757576 18.69791667 0.38771341
        18 12 0.13 0.09230769 2.83842795 19.26200873 0.95180548 0.63100437 18.94136808 0.63116482
        18 25 0.035 0.71428571 1.02639296 19.73313783 1.42293457 0.86656891 19.54308094 1.23287768
        18 50 0.035 1.42857143 0.59221658 19.84602369 1.53582043 0.92301184 19.72353870 1.41333545
        15 0 1 0.00000000 3.84615385 17.50000000 -0.81020326 0.50000000 16.71052632 -1.59967694
        15 2.5 0.22 0.01136364 3.68509213 17.60469012 -0.70551314 0.52093802 16.80603949 -1.50416377
        15 4 1.0 0.00400000 3.78787879 17.53787879 -0.77232447 0.50757576 16.74479167 -1.56541159
        15 12 0.13 0.09230769 2.83842795 18.15502183 -0.15518142 0.63100437 17.35342020 -0.95678306
        15 25 0.035 0.71428571 1.02639296 19.33284457 1.02264132 0.86656891 18.85770235 0.54749909
        15 50 0.035 1.42857143 0.59221658 19.61505922 1.30485596 0.92301184 19.30884676 0.99864350
        12 0 1 0.00000000 3.84615385 16.00000000 -2.31020326 0.50000000 14.73684211 -3.57336115
        12 2.5 0.22 0.01136364 3.68509213 16.16750419 -2.14269907 0.52093802 14.88966318 -3.42054008
        12 4 1.0 0.00400000 3.78787879 16.06060606 -2.24959720 0.50757576 14.79166667 -3.51853659
        12 12 0.13 0.09230769 2.83842795 17.04803493 -1.26216832 0.63100437 15.76547231 -2.54473095
        12 25 0.035 0.71428571 1.02639296 18.93255132 0.62234806 0.86656891 18.17232376 -0.13787950
        12 50 0.035 1.42857143 0.59221658 19.38409475 1.07389150 0.92301184 18.89415482 0.58395156
        ",
    ) {
        let resists = layer_m2k_w(mm / 1000.0, conducts);
        close(resists, layer, 6e-9);
        let plain = wall(resists, STILL_AIR_M2K_W);
        close(plain.conductance_w_m2k(), u, 6e-9);
        let got = plain.inner_face_c(20.0, room);
        close(got, face, 6e-9);
        close((got - room) / (20.0 - room), share, 6e-9);
        close(
            air.condensation_margin_k(got).expect("damp"),
            margin,
            1.2e-8,
        );
        let got = wall(resists, CORNER_M2K_W).inner_face_c(20.0, room);
        close(got, corner, 6e-9);
        close(
            air.condensation_margin_k(got).expect("damp"),
            corner_margin,
            1.2e-8,
        );
    }
}

#[test]
fn the_factor_and_the_insulation_that_keep_a_wall_dry() {
    // Inside, RH, room, dew point (PsychroLib 2.5.0), least share of the difference, least resistance of the layers
    // with 0.13 on both sides; below nought a film is enough. Ten decimals: 1e-9.
    for [inside, rh, room, dew, share, resists] in rows(
        "
        20 90 18 18.31020326 0.1551016289 -0.1061353407
        20 90 15 18.31020326 0.6620406516 0.1246616482
        20 85 15 17.40266917 0.4805338346 -0.0097430850
        18 90 10 16.33608707 0.7920108842 0.3650327067
        22 80 18 18.39236987 0.0980924664 -0.1158610554
        ",
    ) {
        let air = Air::new(inside, rh);
        let got = air.dew_point_c().expect("damp");
        close(got, dew, 2e-8);
        close((got - room) / (inside - room), share, 1e-9);
        let needed = wall(0.0, STILL_AIR_M2K_W).layers_needed_m2k_w(air, inside, room);
        close(needed.expect("the room is cooler"), resists, 1e-9);
        // A wall of just that resistance sits at the dew point.
        if resists > 0.0 {
            let face = wall(resists, STILL_AIR_M2K_W).inner_face_c(inside, room);
            close(face, got, 1e-8);
        }
    }
}
