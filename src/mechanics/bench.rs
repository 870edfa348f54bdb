//! Before gluing: the gap and where it is thinnest, the size to turn, the mix, the cure, proof loads, a coupon.
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | D_b | bore | mm |
//! | D_o | outer diameter of the insert | mm |
//! | eta | glue layer per side | mm |
//! | ply | barrier ply per side | mm |
//! | e | how far the insert sits off the centre | mm |
//! | u | limit of error of the instrument | mm |
//!
//! Per side and on diameter differ by a factor of two; every formula says which it means.

use super::formula::formula;
use crate::units::*;

formula! { "Room per side between insert and bore";
source: "geometry"; limits: "concentric";
fn clearance(D_b: Length, D_o: Length) -> Length { (D_b - D_o) / 2.0 } }

formula! { "Glue layer per side once the ply is in";
source: "geometry"; limits: "concentric; bore measured before the ply goes in";
fn net_gap(room: Length, ply: Length) -> Length { max(room - ply, 0.0 * room) } }

formula! { "Thinnest glue layer";
source: "geometry: the insert off centre towards the narrowest place"; limits: "axes parallel; never below zero";
fn thinnest(narrowest: Length, e: Length) -> Length { max(narrowest - e, 0.0 * e) } }

formula! { "Thickest glue layer";
source: "geometry: the insert off centre away from the widest place"; limits: "axes parallel";
fn thickest(widest: Length, e: Length) -> Length { widest + e } }

formula! { "How far spacer beads let the insert sit off the centre";
source: "geometry: it stops at a bead"; limits: "beads all round, none crushed";
fn bead_offset(narrowest: Length, bead: Length) -> Length { max(narrowest - bead, 0.0 * bead) } }

formula! { "Ovality of the bore";
source: "definition: largest less smallest diameter at one depth"; limits: "as many directions as were read";
fn ovality(largest: Length, smallest: Length) -> Length { largest - smallest } }

formula! { "Gap per side over the error of the instrument";
source: "both diameters read with the same error, errors added: u per side"; limits: "limit of error, not a spread";
fn gap_over_error(eta: Length, u: Length) -> Ratio { eta / u } }

formula! { "Middle of the adhesive's band, per side";
source: "definition"; limits: "as good as the row";
fn middle(gap_min: Length, gap_max: Length) -> Length { (gap_min + gap_max) / 2.0 } }

formula! { "Outer diameter to turn the insert to";
source: "geometry: bore less twice gap and ply"; limits: "concentric";
fn turned(D_b: Length, eta: Length, ply: Length) -> Length { D_b - 2.0 * (eta + ply) } }

formula! { "Volume of glue to mix";
source: "volume to fill times a factor for squeeze-out and waste (common practice, no source)"; limits: "both surfaces coated, fillets left";
fn mix_volume(V: Volume, factor: Ratio) -> Volume { V * factor } }

formula! { "Mass of a mix";
source: "definition of density"; limits: "density of the mixed adhesive";
fn mix_mass(V: Volume, density: MassDensity) -> Mass { V * density } }

formula! { "Mass of one part of a mix";
source: "definition of the mixing ratio"; limits: "ratio by mass";
fn part_mass(m: Mass, this: Ratio, other: Ratio) -> Mass { m * this / (this + other) } }

formula! { "Volume of one part of a mix";
source: "definition of the mixing ratio"; limits: "ratio by volume";
fn part_volume(V: Volume, this: Ratio, other: Ratio) -> Volume { V * this / (this + other) } }

formula! { "Smallest mix that the scale can weigh to its tolerance";
source: "one step of the scale against the smaller part (tolerance: common practice, no source)"; limits: "ratio by mass";
fn least_mix(step: Mass, tolerance: Ratio, smaller: Ratio, larger: Ratio) -> Mass {
    step / tolerance * (smaller + larger) / smaller
} }

formula! { "Time of cure at another temperature";
source: "the time halves with every so many kelvin, recalled rule"; limits: "two-part pastes that cure in a room, within a few tens of kelvin; the adhesive's sheet comes first";
fn cure_time(t_20: Time, warmer: Ratio, halving: Ratio) -> Time { t_20 / power(2.0, warmer / halving) } }

formula! { "Time to warm up";
source: "temperature rise over heating rate (common practice, no source)"; limits: "of the part, not of the oven";
fn ramp_time(rise: Ratio, kelvin_per_minute: Ratio, minute: Time) -> Time { max(rise, 0.0) / kelvin_per_minute * minute } }

formula! { "Net pull through the glue in service, largest case";
source: "the glue's axial force of the job's own case, and what another case pulls more"; limits: "magnitude";
fn pull_demand(N_b: Force, N_more: Force) -> Force { max(N_b, 0.0 * N_b - N_b) + N_more } }

formula! { "Torque that exposes a bad bond";
source: "engineering basis, section 13: over the service demand, and over what the weakest bond would stand"; limits: "only where no more than half of a good bond's capacity; shows one day, not a life";
fn proof_torque(T_service: Torque, n: Ratio, T_weak: Torque, m: Ratio) -> Torque { max(n * T_service, m * T_weak) } }

formula! { "Pull that exposes a bad bond";
source: "engineering basis, section 13: over the service demand, and over what the weakest bond would stand"; limits: "only where no more than half of a good bond's capacity; shows one day, not a life";
fn proof_pull(N_service: Force, n: Ratio, N_weak: Force, m: Ratio) -> Force { max(n * N_service, m * N_weak) } }

formula! { "Most torque that a proof may use";
source: "engineering basis, section 13: a share of a good bond's capacity while tightening"; limits: "no ageing, 20 °C";
fn torque_ceiling(T_good: Torque, share: Ratio) -> Torque { share * T_good } }

formula! { "Most pull that a proof may use";
source: "engineering basis, section 13: a share of a good bond's capacity while tightening"; limits: "no ageing, 20 °C";
fn pull_ceiling(N_good: Force, share: Ratio) -> Force { share * N_good } }

formula! { "Load at which a lap coupon is expected to fail";
source: "shear strength over the overlap, dimensions after ISO 4587 (recalled)"; limits: "mean stress as the row's lap shear; adherends that do not yield";
fn coupon_load(tau_p: Pressure, f: Ratio, overlap: Length, width: Length) -> Force { f * tau_p * overlap * width } }

formula! { "Load below which the batch is rejected";
source: "share of the expected load (common practice, no source)"; limits: "one coupon says little, three say more";
fn coupon_reject(F: Force, share: Ratio) -> Force { share * F } }

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!(
            (a - b).abs() <= 1e-12 * b.abs().max(1e-30),
            "{a} against {b}"
        );
    }

    #[test]
    fn time_halves_with_ten_kelvin() {
        let day = Time::new::<uom::si::time::hour>(24.0);
        let at = |k: f64| si(cure_time(day, number(k), number(10.0))) / 3600.0;
        close(at(0.0), 24.0);
        close(at(10.0), 12.0);
        close(at(20.0), 6.0);
        close(at(30.0), 3.0);
        close(at(-10.0), 48.0);
    }

    #[test]
    fn the_scale_decides_the_least_mix() {
        // 0.1 g is 5 % of 2 g, the smaller part of 6 g at 2:1.
        let gram = Mass::new::<uom::si::mass::gram>;
        let least = least_mix(gram(0.1), number(0.05), number(1.0), number(2.0));
        close(si(least), 0.006);
    }

    #[test]
    fn the_size_to_turn_leaves_the_gap_again() {
        let turned = turned(mm(14.0), mm(0.2), mm(0.0));
        close(si(turned), 0.0136);
        close(si(net_gap(clearance(mm(14.0), turned), mm(0.0))), 0.0002);
    }

    #[test]
    fn the_lap_of_the_standard_at_one_megapascal() {
        close(
            si(coupon_load(
                megapascal(1.0),
                number(1.0),
                mm(12.5),
                mm(25.0),
            )),
            312.5,
        );
    }

    /// A bore of 14.4 mm, an insert of 14 mm, a ply of 0.05 mm on either side.
    #[test]
    fn the_gap_by_hand() {
        let room = clearance(mm(14.4), mm(14.0));
        let near = |got: Length, millimetres: f64| {
            assert!((si(got) - si(mm(millimetres))).abs() < 1e-15, "{got:?}");
        };
        near(room, 0.2);
        near(net_gap(room, mm(0.05)), 0.15);
        assert_eq!(si(net_gap(room, mm(0.3))), 0.0);
        near(turned(mm(14.4), mm(0.15), mm(0.05)), 14.0);
        near(thinnest(mm(0.15), mm(0.05)), 0.1);
        assert_eq!(si(thinnest(mm(0.05), mm(0.15))), 0.0);
        near(thickest(mm(0.25), mm(0.05)), 0.3);
        near(bead_offset(mm(0.2), mm(0.15)), 0.05);
        assert_eq!(si(bead_offset(mm(0.1), mm(0.15))), 0.0);
        near(ovality(mm(14.43), mm(14.4)), 0.03);
        near(middle(mm(0.05), mm(0.25)), 0.15);
        close(gap_over_error(mm(0.2), mm(0.02)).value, 10.0);
    }

    /// The parts make up the whole and stand in their ratio.
    #[test]
    fn a_mix_and_its_parts() {
        let cubic_millimetre = |v: f64| -> Volume { from_si(v * 1e-9) };
        let mix = mix_volume(cubic_millimetre(4000.0), number(1.5));
        close(si(mix), 6e-6);
        let mass = mix_mass(mix, from_si(1100.0));
        close(si(mass), 6.6e-3);
        let (resin, hardener) = (number(2.0), number(1.0));
        close(si(part_mass(mass, resin, hardener)), 4.4e-3);
        close(si(part_mass(mass, hardener, resin)), 2.2e-3);
        let (resin, hardener) = (number(5.0), number(1.0));
        close(si(part_volume(mix, resin, hardener)), 5e-6);
        close(si(part_volume(mix, hardener, resin)), 1e-6);
    }

    #[test]
    fn warming_up_takes_time_and_cooling_none() {
        let minute = Time::new::<uom::si::time::minute>(1.0);
        let ramp = |rise: f64| si(ramp_time(number(rise), number(2.0), minute));
        close(ramp(40.0), 20.0 * 60.0);
        assert_eq!(ramp(-40.0), 0.0);
    }

    #[test]
    fn a_proof_is_over_both_and_under_its_ceiling() {
        for service in [-300.0, 300.0] {
            close(si(pull_demand(newton(service), newton(50.0))), 350.0);
        }
        let torque = |t: f64, weak: f64| {
            si(proof_torque(
                newton_metre(t),
                number(1.5),
                newton_metre(weak),
                number(0.5),
            ))
        };
        close(torque(10.0, 20.0), 15.0);
        close(torque(10.0, 40.0), 20.0);
        let pull = |n: f64, weak: f64| {
            si(proof_pull(
                newton(n),
                number(1.5),
                newton(weak),
                number(0.5),
            ))
        };
        close(pull(100.0, 200.0), 150.0);
        close(pull(100.0, 400.0), 200.0);
        close(si(torque_ceiling(newton_metre(80.0), number(0.5))), 40.0);
        close(si(pull_ceiling(newton(9000.0), number(0.4))), 3600.0);
        let coupon = coupon_load(megapascal(30.0), number(0.5), mm(10.0), mm(20.0));
        close(si(coupon), 3000.0);
        close(si(coupon_reject(coupon, number(0.8))), 2400.0);
    }
}
