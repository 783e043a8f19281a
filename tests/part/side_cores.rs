//! Side cores: what neither a half nor a loose piece can form.

use super::forms::built;
use crate::loose_pieces::drawn;
use crate::nesting;
use solidwright::geometry::P3;
use solidwright::solid::SolidTree;
use tailpattern::forms;

/// Places, the same each time, that lie in a piece.
fn inside(piece: &forms::Piece) -> Vec<P3> {
    let tree = piece.solid.tree();
    nesting::points(&nesting::bounds(piece), 6_000).into_iter().filter(|p| tree.contains(*p)).collect()
}

/// By exact membership: a side core has nothing in common with the casting, the pattern's own body and other cores, lies in its half's print, and
/// leaves that along the pull. What its half held before is free: the halves hold nothing more than is dressed by hand.
#[test]
fn side_cores_fill_what_holds_a_half() {
    let mut asked = 0;
    for seed in [7, 11, 37] {
        let design = drawn(seed);
        let cast = forms::casting(&design, &built(&design)).expect("a casting");
        let whole = forms::pattern_outside(&cast).expect("a pattern");
        let held = forms::drawing(&cast).expect("a drawing").undercuts;
        let made = forms::pattern_in_pieces(&cast, &held).expect("pieces");
        assert!(!made.side_cores.is_empty(), "seed {seed} needs a side core");
        assert!(made.still_held.is_empty(), "seed {seed}: {:#?}", made.still_held);
        let first = made.pieces.len() - made.side_cores.len();
        assert_eq!(first, 2 + made.loose.len(), "seed {seed}: halves, loose pieces, side cores");
        for (k, told) in made.side_cores.iter().enumerate() {
            let half = made.pieces[usize::from(!told.upper)].solid.tree();
            let pull = if told.upper { cast.settings.up } else { -cast.settings.up };
            let piece = &made.pieces[first + k];
            assert_eq!(piece.name, told.name);
            let others = made.pieces[first..].iter().filter(|p| p.name != told.name);
            let others: Vec<&SolidTree> = others.map(|p| p.solid.tree()).collect();
            let places = inside(piece);
            asked += places.len();
            assert!(places.len() > 100, "seed {seed}, {}: {} places", told.name, places.len());
            for p in places {
                assert!(!whole.contains(p), "seed {seed}: {} is in the metal at {p}", told.name);
                assert!(others.iter().all(|t| !t.contains(p)), "seed {seed}: two cores share {p}");
                let height = p.coords.dot(&pull);
                let down = (0..).map(|s| 0.5 * f64::from(s)).take_while(|d| *d < height);
                for d in down {
                    let at = p - pull * d;
                    assert!(half.contains(at), "seed {seed}: {} does not leave its print at {at}", told.name);
                }
            }
            // The print is larger than the core, and reaches into the sand beyond the metal.
            assert!(told.seat > 100.0 && told.held > forms::DRESSED, "{told:?}");
        }
        if made.loose.is_empty() {
            for half in &made.pieces[..2] {
                let left = forms::undercuts(&half.solid, cast.settings.up).expect("a mesh");
                let area: f64 = left.iter().map(|u| u.area).sum();
                assert!(area <= 4.0 * forms::DRESSED, "seed {seed}, {}: {left:#?}", half.name);
            }
        }
    }
    assert!(asked > 2_000, "{asked} places");
}

/// By exact membership: whatever sand a print's place takes from its half, the side core gives back, in the hollows of the pattern too. The mount pad
/// of this housing is hollow from outside, and its hollow was left full of metal.
#[test]
fn a_side_core_fills_the_hollow_of_a_pad() {
    let design = drawn(101);
    let cast = forms::casting(&design, &built(&design)).expect("a casting");
    let whole = forms::pattern_outside(&cast).expect("a pattern");
    let held = forms::drawing(&cast).expect("a drawing").undercuts;
    let made = forms::pattern_in_pieces(&cast, &held).expect("pieces");
    assert_eq!(made.side_cores.len(), 2, "one in each half");
    let first = made.pieces.len() - 2;
    let (mut asked, mut missed) = (0, 0);
    for (k, told) in made.side_cores.iter().enumerate() {
        let half = made.pieces[usize::from(!told.upper)].solid.tree();
        let core = made.pieces[first + k].solid.tree();
        for p in nesting::points(&core.bounds(), 20_000) {
            if half.contains(p) && !whole.contains(p) {
                asked += 1;
                missed += usize::from(!core.contains(p));
            }
        }
    }
    // The clearance of the prints is a hundredth of their width.
    assert!(asked > 2_000 && missed < asked / 20, "{missed} of {asked} places are neither metal nor core");
}

/// Without loose pieces a file has no side cores either.
#[test]
fn side_cores_come_with_loose_pieces_only() {
    let design = drawn(11);
    let mut cast = forms::casting(&design, &built(&design)).expect("a casting");
    let held = forms::drawing(&cast).expect("a drawing").undercuts;
    cast.settings.loose_pieces = false;
    let made = forms::pattern_in_pieces(&cast, &held).expect("halves");
    assert_eq!((made.pieces.len(), made.side_cores.len()), (2, 0));
    assert!(!made.undrawn.is_empty(), "it is told that the halves are held");
}
