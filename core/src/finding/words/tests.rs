use crate::finding::{
    BarError, BarProblem, Block, BranchFault, BranchProblem, ConeError, ConeNote, CopeFault, CopedOnto, Fit,
    GapProblem, LimbError, MergeError, MergeFault, MergeProblem, NearPart, NoTube, OpenEndProblem, Over,
    PartFault, PartProblem, PieceProblem, PieceType, PinFit, Problem, RouteProblem, SaddleError, ScanProblem,
    Side, SleeveFit, StockProblem, TaperProblem, WallLack, Width,
};
use crate::model::limits::Fault;
use crate::model::{Material, MergeId, PieceKey, PiecePlace, RunId, Sleeve, TaperId};
use crate::units::UnitSystem;
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of an enum in its source: names at the beginning of a line of its body.
fn kinds(source: &str, name: &str) -> BTreeSet<String> {
    let begin = format!("pub enum {name} {{");
    let body = source.split(&begin).nth(1).unwrap_or_else(|| panic!("no {name}"));
    let body = body.split("\n}").next().unwrap();
    let lines = body.lines().filter_map(|line| line.strip_prefix("    "));
    let names = lines.filter(|line| line.starts_with(|c: char| c.is_ascii_uppercase()));
    names.map(|line| line.split(|c: char| !c.is_alphanumeric()).next().unwrap().to_owned()).collect()
}

/// The kinds of `all` by what `Debug` calls them.
fn shown<T: std::fmt::Debug>(all: &[T]) -> BTreeSet<String> {
    let name = |one: &T| {
        let text = format!("{one:?}");
        text.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_owned()
    };
    all.iter().map(name).collect()
}

fn owned(text: &str) -> String {
    text.to_owned()
}

fn routes() -> Vec<RouteProblem> {
    use RouteProblem as P;
    let fits = Some(owned("63.5 mm 304 90° elbow"));
    vec![
        P::Missing { what: "tube", id: 7 },
        P::NoDirection { hardpoint: owned("Turbo") },
        P::ClockAlong { hardpoint: owned("Turbo"), really: glam::DVec3::X },
        P::NoLength,
        P::SmallKink { bend: 2, angle_rad: 0.0005 },
        P::TurnsBack { bend: 2, angle_rad: 3.1 },
        P::BendsOverlap { leg: 2, by_mm: 12.0, first: Some(1), second: Some(2), largest_mm: Some(80.0) },
        P::BendsOverlap { leg: 1, by_mm: 12.0, first: None, second: Some(1), largest_mm: None },
        P::BendsOverlap { leg: 3, by_mm: 12.0, first: Some(2), second: None, largest_mm: Some(70.0) },
        P::BendsOverlap { leg: 3, by_mm: 13.0, first: None, second: None, largest_mm: None },
        P::RadiusTooSmall { bend: 2, clr_mm: 30.0, least_mm: 33.0 },
        P::TooFewWelds { bend: 2, welds: 1, least: 2 },
        P::OddSlice { bend: 2, angle_rad: 1.5, saw_rad: 0.13, odd_rad: 0.05, multiple_rad: 1.57 },
        P::NotMultiple { bend: 2, angle_rad: 1.5, saw_rad: 0.13, multiple_rad: 1.57 },
        P::ElbowShort { bend: 2, need_rad: 1.6, have_rad: 1.57, fits: None },
        P::ElbowShort { bend: 2, need_rad: 1.6, have_rad: 1.57, fits: fits.clone() },
        P::ElbowSize { bend: 2, elbow_od_mm: 60.3, tube_od_mm: 63.5, fits: None },
        P::ElbowSize { bend: 2, elbow_od_mm: 60.3, tube_od_mm: 63.5, fits: fits.clone() },
        P::ElbowMetal { bend: 2, elbow: Material::Stainless304, tube: Material::MildSteel },
        P::ElbowMetal { bend: 2, elbow: Material::Stainless304, tube: Material::TitaniumGrade2 },
        P::JointOffLeg { joint: owned("Coupler"), leg: 2, by_mm: 5.5 },
        P::JointBodyOnBend { joint: owned("Coupler"), leg: 2, by_mm: 5.5 },
        P::NoSuchLeg { joint: owned("Coupler"), leg: 5, legs: 3 },
        P::BehindFace { at_start: true, reach_mm: -3.0, least_mm: 40.0 },
        P::BehindFace { at_start: false, reach_mm: -3.0, least_mm: 40.0 },
        P::JointSize { joint: owned("Coupler"), joint_od_mm: 76.2, tube_od_mm: 63.5, fits: None },
        P::JointSize { joint: owned("Coupler"), joint_od_mm: 76.2, tube_od_mm: 63.5, fits },
        P::NoBead { joint: owned("Hose") },
        P::PortSize { hardpoint: owned("Turbo"), port_od_mm: 76.2, tube_od_mm: 63.5 },
        P::NoFlexible { bodies: (owned("Engine"), owned("Frame")) },
    ]
}

fn pieces() -> Vec<PieceProblem> {
    use PieceProblem as P;
    let (mark, weld) = (owned("A3"), owned("AW2"));
    vec![
        P::ThroatShort { mark: mark.clone(), throat_mm: 3.0, least_mm: 5.0, clr_mm: Some(100.0) },
        P::ThroatShort { mark: mark.clone(), throat_mm: 3.0, least_mm: 5.0, clr_mm: None },
        P::CutsCross { mark: mark.clone(), by_mm: 3.0, fewer_degrees: true },
        P::CutsCross { mark: mark.clone(), by_mm: 3.0, fewer_degrees: false },
        P::SawLimit { bend: 2, mark: mark.clone(), saw_rad: 0.9, most_rad: 0.8, welds: 3 },
        P::FullEndAtFace { bend: 2, at_start: true },
        P::PiecesMissEnd { offset_mm: 0.4, angle_rad: 0.01 },
        P::Lip { weld: weld.clone(), lip_mm: 2.0, turn_rad: 0.3 },
        P::FitGone { weld: Some(weld.clone()), instead: Some(owned("AW4")) },
        P::FitGone { weld: None, instead: None },
        P::FitShort { weld, mark, long_mm: 30.0, grip_mm: 60.0 },
        P::NoFit,
    ]
}

fn cones() -> Vec<ConeError> {
    use ConeError as E;
    vec![
        E::NotANumber,
        E::NotPositive { radius_mm: 0.0 },
        E::NoLength { length_mm: 0.0, least_mm: 20.0 },
        E::NoLength { length_mm: 0.0, least_mm: 0.0 },
        E::NoBore { radius_mm: 25.0, wall_mm: 26.0 },
        E::TooSteep { angle_rad: 1.2, most_rad: 1.047, least_mm: 12.0 },
        E::Lap { lap_mm: -1.0, most_mm: 40.0 },
    ]
}

fn tapers() -> Vec<TaperProblem> {
    use TaperProblem as P;
    let mut out: Vec<P> = cones().into_iter().map(|error| P::Shape { leg: 2, error }).collect();
    let note = ConeNote::Wide { angle_rad: 0.3, calm_rad: 0.13, calm_mm: 180.0 };
    out.extend([
        P::Wide { leg: 2, note },
        P::Metal { leg: 2, before: Material::Stainless304, after: Material::TitaniumGrade2 },
        P::Same { leg: 2, od_mm: 63.5 },
        P::OffLeg { leg: 2, by_mm: 12.0, most_mm: 60.0 },
        P::OffLeg { leg: 2, by_mm: 12.0, most_mm: 0.0 },
        P::NoSuchLeg { leg: 5, legs: 3 },
        P::Offset { most_mm: 300.0 },
    ]);
    out
}

fn limbs() -> Vec<LimbError> {
    use LimbError as E;
    vec![E::NotANumber, E::NotPositive { radius_mm: 0.0 }, E::NoBore { radius_mm: 20.0, wall_mm: 21.0 }]
}

fn saddles() -> Vec<SaddleError> {
    use SaddleError as E;
    let mut out: Vec<E> = limbs().into_iter().map(E::Branch).collect();
    out.extend([
        E::NoHeader,
        E::BranchTooLarge { radius_mm: 30.0, header_mm: 25.0 },
        E::OffSide { offset_mm: 20.0, radius_mm: 15.0, header_mm: 30.0 },
        E::TooFlat { angle_rad: 0.2, least_rad: 0.26 },
        E::Misses { clock_rad: 1.0, by_mm: 2.0, largest_mm: Some(12.0) },
        E::OffEnd { clock_rad: 1.0, beyond_mm: 8.0 },
    ]);
    out
}

fn branches() -> Vec<BranchFault> {
    use BranchFault as F;
    let (header, mark) = (owned("Header"), owned("B1"));
    let lack = WallLack { clock_rad: 1.0, by_mm: 4.0, at_start: true, left_mm: 30.0 };
    let mut out: Vec<F> = saddles().into_iter().map(|error| F::DoesNotFit { error }).collect();
    out.extend([
        F::HeaderGone,
        F::HeaderStops { header: header.clone() },
        F::NoLeg { header: header.clone(), leg: 4, legs: 2 },
        F::NoBend { header: header.clone(), leg: 2 },
        F::OffStraight {
            header: header.clone(),
            leg: 1,
            station_mm: -5.0,
            room_mm: (0.0, 200.0),
            bend: true,
        },
        F::OffStraight { header: header.clone(), leg: 1, station_mm: 5.0, room_mm: (0.0, -2.0), bend: false },
        F::OffBend { header: header.clone(), leg: 1, turn_deg: 100.0, most_deg: 90.0 },
        F::NoTube { at_start: true, mark: mark.clone(), what: NoTube::Piece(PieceType::Elbow) },
        F::NoTube { at_start: false, mark: mark.clone(), what: NoTube::MitredCut },
        F::OnOther { mark: mark.clone(), what: Block::Joint },
        F::Onto { mark: mark.clone(), what: Block::Taper, by_mm: 6.0 },
        F::TooWide { radius_mm: 30.0, largest_mm: Some(20.0) },
        F::CutAway { header: header.clone(), mark: mark.clone(), lack, fits_mm: Some(120.0) },
        F::CutAway { header: header.clone(), mark, lack, fits_mm: None },
        F::OnBranch { other: owned("Dump"), header },
        F::CutToBranch { others: vec![owned("Wastegate")], header: owned("Header") },
        F::CutToBranch { others: vec![owned("Left"), owned("Right")], header: owned("Header") },
        F::AcrossWelds { pieces: vec![owned("A2"), owned("A3")] },
    ]);
    out
}

fn merges() -> Vec<MergeError> {
    use MergeError as E;
    let (first, second) = (0, 1);
    vec![
        E::Arm { arm: 0, error: LimbError::NotANumber },
        E::Outlet(LimbError::NotANumber),
        E::TooFew { arms: 1 },
        E::NoSuchPair { first, second: 7 },
        E::Alone { arm: 2 },
        E::Apart { first, second, apart_mm: 2.0, most_mm: 0.5 },
        E::TooNarrow { first, second, angle_rad: 0.05, least_rad: 0.087 },
        E::InLine { first, second },
        E::TooSquare { arm: 0, angle_rad: 1.4, most_rad: 1.309 },
        E::OutletSize { radius_mm: 40.0, arm_mm: 30.0 },
        E::MouthTooSmall { mouth_mm: 27.0, least_mm: 30.0 },
        E::MouthTooLarge { mouth_mm: 90.0, most_mm: 60.0 },
        E::Parted { first, second, station_mm: -200.0, from_mm: -90.0 },
        E::Beyond { station_mm: 1.0, most_mm: 0.0 },
        E::Overlap { first, second },
        E::SeamsDisagree { first, second, first_mm: 80.0, second_mm: 82.0 },
    ]
}

fn not_merged(error: MergeError) -> MergeFault {
    MergeFault::NotMerged { error, runs: vec![owned("Left bank"), owned("Right bank"), owned("Tail pipe")] }
}

fn merge_faults() -> Vec<MergeFault> {
    use MergeFault as F;
    let mark = owned("A3");
    let mut out: Vec<F> = merges().into_iter().map(not_merged).collect();
    out.extend([
        F::EndsWith { what: PieceType::Slice },
        F::PieceTooShort { mark: mark.clone(), by_mm: 4.0 },
        F::ThroatShort { mark, throat_mm: 3.0, least_mm: 5.0 },
        F::Open { inlets: vec![1, 3], outlet: true },
        F::OneInlet,
        F::StripFallsOut { mark: owned("B7") },
    ]);
    out
}

fn parts() -> Vec<PartFault> {
    use PartFault as F;
    let fits = Some(120.0);
    let over = |over: Over| F::Over { over, by_mm: 4.0, fits };
    let mut out: Vec<F> = saddles().into_iter().map(|why| F::Unfit { why }).collect();
    out.extend([
        F::NoLeg { leg: 4, legs: 2 },
        F::OffLeg { leg: 2, straight_mm: 80.0, fits: None },
        F::OnBlock { what: Block::Joint, mark: owned("A2"), fits },
        F::NotOnBend,
        F::NoBend { leg: 2 },
        F::OffBend { leg: 2, turn_deg: 95.0, most_deg: 90.0 },
        F::Onto { what: Block::Joint, mark: owned("AJ1"), by_mm: 4.0 },
        F::WideOnBend { width_mm: 44.0, largest_mm: Some(30.0) },
        F::WideOnBend { width_mm: 44.0, largest_mm: None },
        F::AcrossWelds { pieces: vec![owned("A2"), owned("A3")] },
        F::OnOther { other: owned("Wastegate"), fits },
        F::OnOther { other: owned("Wastegate"), fits: None },
        over(Over::Weld(owned("A2"))),
        over(Over::Bend),
        over(Over::Joint(owned("A2"))),
        over(Over::End),
        F::OffWall { by_mm: 3.0, fits },
        F::TooWide { what: Width::Boss, width_mm: 70.0, tube_mm: 63.5 },
        F::TooWide { what: Width::Stub, width_mm: 70.0, tube_mm: 63.5 },
        F::TooWide { what: Width::Thickness, width_mm: 70.0, tube_mm: 63.5 },
        F::TooFlat { angle_rad: 0.2, least_rad: 0.26 },
        F::HoleTooWide { hole_mm: 20.0, boss_mm: 20.0 },
        F::FlangeLow { length_mm: 10.0, least_mm: 20.0 },
        F::FlangeNarrow { flange_mm: 40.0, stub_mm: 42.0 },
        F::SensorLow { stands_rad: 0.05, least_rad: 0.1745, fits_rad: Some(1.0) },
        F::SensorLow { stands_rad: 0.05, least_rad: 0.1745, fits_rad: None },
        F::SensorNear { from_start_mm: 300.0, least_mm: 600.0 },
        F::TapNear { from_bend_mm: 20.0, least_mm: 127.0, fits },
        F::PartRound { around_rad: 3.0 },
        F::Through { shield: owned("Shield") },
    ]);
    out
}

fn open_ends() -> Vec<OpenEndProblem> {
    use OpenEndProblem as P;
    vec![
        P::SlashSteep { tilt_deg: 50.0, most_deg: 45.0 },
        P::SlashOn { tilt_deg: 50.0, what: PieceType::Taper },
        P::BlowsAt { against: owned("Tyre"), distance_mm: 200.0, harm: true },
        P::BlowsAt { against: owned("Tyre"), distance_mm: 200.0, harm: false },
    ]
}

fn bar_errors() -> Vec<BarError> {
    use BarError as E;
    let what = || owned("The thread at the start");
    vec![
        E::NotANumber { what: what() },
        E::Length { what: what(), mm: -1.0, least_mm: 0.0, most_mm: 34.0 },
        E::Number { what: owned("Springback"), value: 60.0, least: 0.0, most: 50.0, unit: " %" },
        E::Count { what: "points of the bar", have: 1, least: 2, most: 202 },
        E::SamePoint { first: 3 },
        E::TurnsBack { bend: 1, angle_rad: 3.1 },
        E::NoSeat { clock_rad: 1.5 },
    ]
}

fn copes() -> Vec<CopeFault> {
    use CopeFault as F;
    let onto = owned("Crossmember");
    let mut out: Vec<F> = saddles()
        .into_iter()
        .map(|error| F::NoSeat { onto: CopedOnto::Named(onto.clone()), error })
        .collect();
    out.extend([
        F::Gone,
        F::Itself,
        F::NoDirection,
        F::Unbuilt { onto: onto.clone() },
        F::OnNothing { onto: onto.clone(), mark: owned("A1"), by_mm: 3.0, left_mm: 30.0 },
        F::OnOther { onto: CopedOnto::Named(onto.clone()), other: owned("Wastegate") },
        F::OverPlate { round: true, by_mm: 3.0, least: 1.2 },
        F::OverPlate { round: false, by_mm: 3.0, least: 41.0 },
        F::PlateOff { onto: CopedOnto::Named(onto), by_mm: 5.0 },
    ]);
    out
}

fn bars() -> Vec<BarProblem> {
    use BarProblem as P;
    let side = Side::End;
    let sleeve = |clearance_mm: f64, fit: Fit| SleeveFit {
        sleeve: Sleeve { od_mm: 22.2, wall_mm: 3.0 },
        clearance_mm,
        fit,
        slides_mm: (16.1, 16.5),
    };
    let pin = |clearance_mm: f64, fit: Fit| PinFit {
        clearance_mm,
        fit,
        play_mm: 0.1,
        length: Fit::TooTight,
        least_to_groove_mm: 41.0,
    };
    let mut out = vec![
        P::TooShort { by_mm: 12.5, ends_take_mm: 113.0, least_mm: 167.0 },
        P::EndsMeet { by_mm: 4.0 },
        P::ThreadWide { side, thread_dia_mm: 16.0, bar_od_mm: 15.9 },
        P::SocketShallow { side, tapped_mm: 14.0, least_mm: 15.0 },
        P::ThreadShort { side, free_mm: 12.0, least_mm: 15.0, need_mm: 21.0 },
        P::EngagementShort { side, engaged_mm: 14.6, least_mm: 15.0 },
        P::BottomsOut { side, in_mm: 31.0, depth_mm: 30.0, most_mm: 28.0 },
        P::NoRoomForNut { side, left_mm: 3.0, nut_mm: 6.0, most_mm: 28.0 },
        P::OutOfAdjustment { sawn_mm: 270.0, nearest_mm: 274.0 },
        P::AdjustmentSmall { wanted_mm: 10.0, longer_mm: 6.5, shorter_mm: 6.5 },
        P::SmallKink { bend: 2, angle_rad: 0.0005 },
        P::RadiusTooSmall { bend: 2, clr_mm: 7.0, least_mm: 7.9 },
        P::BendsOverlap { leg: 2, bends: (1, 2), by_mm: 10.0, clr_mm: Some(40.0) },
        P::EndInBend { side, bend: 2, by_mm: 3.5, clr_mm: None },
        P::StraightShort { leg: 2, bends: (1, 2), straight_mm: 20.0, least_mm: 30.0 },
        P::Overbend { bend: 2, set_rad: 3.2 },
        P::StraightOnly,
        P::SleeveFit { fit: sleeve(-0.05, Fit::TooTight), instead: Some(owned("22 × 2.5")) },
        P::SleeveFit { fit: sleeve(0.05, Fit::TooTight), instead: None },
        P::SleeveFit { fit: sleeve(0.9, Fit::Loose), instead: None },
        P::SleeveOffEnd { by_mm: 12.0, latest_mm: 200.0 },
        P::SleeveOnBend,
        P::PinNoHole { side },
        P::PinFit { side, fit: pin(-0.1, Fit::TooTight) },
        P::PinFit { side, fit: pin(0.9, Fit::Loose) },
        P::LongerThanStick {
            bar: owned("Strut"),
            stock: owned("16 mm"),
            length_mm: 6100.0,
            stick_mm: 6000.0,
        },
    ];
    out.extend(bar_errors().into_iter().map(|error| P::Entry { side: Some(side), error }));
    out.extend(copes().into_iter().map(|fault| P::Cope { side, fault }));
    out
}

fn gaps() -> Vec<GapProblem> {
    use GapProblem as P;
    let (part, against) = (NearPart::Piece(owned("A1")), owned("Fuel line"));
    let close = |heat: bool, turns: bool, gap_mm: f64, moved: Option<String>| P::TooClose {
        part: part.clone(),
        against: against.clone(),
        gap_mm,
        required_mm: 20.0,
        heat,
        turns,
        moved,
    };
    let clash = |other_part: Option<NearPart>, itself: bool| P::Clash {
        part: part.clone(),
        turns: itself,
        against: owned("Other"),
        other_part,
        deep_mm: 12.0,
        itself,
    };
    let small = NearPart::SmallPart { name: owned("Sensor"), mark: owned("AP1") };
    vec![
        close(false, false, 4.0, None),
        close(true, false, 4.0, None),
        close(false, true, 4.0, None),
        close(false, false, -4.0, Some(owned("Engine 10 mm forward"))),
        clash(None, false),
        clash(None, true),
        clash(Some(NearPart::Piece(owned("B2"))), false),
        clash(Some(NearPart::Lobe(owned("BJ1"))), false),
        clash(Some(NearPart::Tool(owned("BJ1"))), false),
        clash(Some(small.clone()), false),
        P::ToolBlocked { tool: NearPart::Tool(owned("A2")), against: against.clone() },
        P::NoWayOut { part: small, against: against.clone() },
        P::BarTooClose {
            bar: owned("Strut"),
            against,
            gap_mm: 4.0,
            required_mm: 20.0,
            moved: Some(owned("Engine 10 mm forward")),
        },
    ]
}

fn stocks() -> Vec<StockProblem> {
    use StockProblem as P;
    let key = PieceKey { run: RunId(1), place: PiecePlace::Taper(TaperId(3)) };
    let mark = owned("A3");
    vec![
        P::ElbowsToBuy { elbow: owned("63.5 mm 90°"), need: 3, have: 1 },
        P::SticksToBuy { tube: owned("63.5 × 1.5 304"), count: 2, at_most: false },
        P::SticksToBuy { tube: owned("63.5 × 1.5 304"), count: 2, at_most: true },
        P::PieceTooLong { mark: mark.clone(), length_mm: 6100.0, stick_mm: 6000.0 },
        P::SawnOtherwise {
            key,
            mark: mark.clone(),
            written: Some(owned("A4")),
            was_mm: 100.0,
            now_mm: 101.0,
        },
        P::SawnUnknown { marks: vec![mark, owned("A4")] },
    ]
}

fn scans() -> Vec<ScanProblem> {
    use ScanProblem as P;
    let scan = owned("Engine bay");
    let left = |without_area: u64, no_number: u64| P::LeftOut {
        scan: scan.clone(),
        without_area,
        no_number,
        not_in_file: 0,
    };
    vec![
        P::Missing { scan: scan.clone(), why: None },
        P::Missing { scan: scan.clone(), why: Some(owned("There is no file there.")) },
        P::Changed { scan: scan.clone(), why: owned("Its file is another one now.") },
        left(2, 0),
        left(2, 1),
    ]
}

fn problems() -> Vec<Problem> {
    fn of<T>(all: Vec<T>) -> Vec<Problem>
    where
        Problem: From<T>,
    {
        all.into_iter().map(Problem::from).collect()
    }
    let branch = |fault| BranchProblem { port: owned("side port"), fault };
    let merge = |fault| MergeProblem { id: MergeId(7), merge: owned("Collector"), fault };
    let part = |fault| PartProblem { part: owned("Sensor"), fault };
    [
        of(routes()),
        of(pieces()),
        of(tapers()),
        of(branches().into_iter().map(branch).collect()),
        of(merge_faults().into_iter().map(merge).collect()),
        of(parts().into_iter().map(part).collect()),
        of(open_ends()),
        of(bars()),
        of(gaps()),
        of(stocks()),
        of(scans()),
        of(vec![Fault::IdsTooLarge { below: 1000 }]),
    ]
    .concat()
}

/// Every kind that the sources name is among those that the tests below look at.
#[test]
fn no_kind_is_left_out() {
    assert_eq!(shown(&routes()), kinds(include_str!("../route.rs"), "RouteProblem"));
    assert_eq!(shown(&pieces()), kinds(include_str!("../piece.rs"), "PieceProblem"));
    assert_eq!(shown(&cones()), kinds(include_str!("../taper.rs"), "ConeError"));
    assert_eq!(shown(&tapers()), kinds(include_str!("../taper.rs"), "TaperProblem"));
    assert_eq!(shown(&limbs()), kinds(include_str!("../saddle.rs"), "LimbError"));
    assert_eq!(shown(&saddles()), kinds(include_str!("../saddle.rs"), "SaddleError"));
    assert_eq!(shown(&branches()), kinds(include_str!("../branch.rs"), "BranchFault"));
    assert_eq!(shown(&merges()), kinds(include_str!("../merge.rs"), "MergeError"));
    assert_eq!(shown(&merge_faults()), kinds(include_str!("../merge.rs"), "MergeFault"));
    assert_eq!(shown(&parts()), kinds(include_str!("../part.rs"), "PartFault"));
    assert_eq!(shown(&open_ends()), kinds(include_str!("../open_end.rs"), "OpenEndProblem"));
    assert_eq!(shown(&bar_errors()), kinds(include_str!("../bar_fit.rs"), "BarError"));
    assert_eq!(shown(&copes()), kinds(include_str!("../bar_fit.rs"), "CopeFault"));
    assert_eq!(shown(&bars()), kinds(include_str!("../bar.rs"), "BarProblem"));
    assert_eq!(shown(&gaps()), kinds(include_str!("../gap.rs"), "GapProblem"));
    assert_eq!(shown(&stocks()), kinds(include_str!("../stock.rs"), "StockProblem"));
    assert_eq!(shown(&scans()), kinds(include_str!("../scan.rs"), "ScanProblem"));
    let stages: BTreeSet<String> = shown(&problems());
    assert_eq!(stages, kinds(include_str!("../../finding.rs"), "Problem"));
}

/// Sentences of two kinds would send two people to one cure; a `Debug` text or a bare `None` is no word for anybody.
#[test]
fn every_kind_has_a_sentence_of_its_own_in_every_unit() {
    for units in [UnitSystem::Millimetre, UnitSystem::InchFraction, UnitSystem::InchDecimal] {
        let mut seen: BTreeMap<String, Problem> = BTreeMap::new();
        for problem in problems() {
            let text = problem.text(units);
            assert!(text.ends_with('.') && text.len() > 20, "{text}");
            assert!(text.starts_with(|c: char| c.is_uppercase() || c.is_numeric()), "{text}");
            for raw in ["{", "}", "Some(", "None", "NaN", "::", "  ", "_", "\n"] {
                assert!(!text.contains(raw), "{raw} in: {text}");
            }
            let pairs = text.as_bytes().windows(2);
            let joined = pairs.filter(|w| w[0].is_ascii_lowercase() && w[1].is_ascii_uppercase()).count();
            assert_eq!(joined, 0, "a name of the program in: {text}");
            if let Some(other) = seen.insert(text.clone(), problem.clone()) {
                panic!("{problem:?} and {other:?} say: {text}");
            }
        }
    }
}

/// What shares a code is one kind to whoever reads it from a file.
#[test]
fn a_code_is_plain_and_shared_only_by_what_is_one_kind_to_a_reader() {
    let mut stages: BTreeMap<&'static str, BTreeSet<String>> = BTreeMap::new();
    for problem in problems() {
        let code = problem.code();
        let plain = code.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        assert!(plain && !code.is_empty() && !code.starts_with('-') && !code.ends_with('-'), "{code}");
        stages.entry(code).or_default().extend(shown(&[problem]));
    }
    let shared: Vec<&str> = stages.iter().filter(|(_, of)| of.len() > 1).map(|(code, _)| *code).collect();
    assert_eq!(shared, ["no-such-leg", "throat-short"]);
}
