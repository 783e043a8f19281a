//! A casting whose fillets leave out a few hundredths of a millimetre gets larger fillets, not a skin of plates.

use tailpattern::design::Design;
use tailpattern::forms;
use tailpattern::housing;
use tailpattern::params::{self, Source};

/// Six ribs at the neck of a large shell, with a mount on walls: with the radii asked for, drafted ribs leave out up to 0.08 mm of the part's own
/// fillets.
const NECKED: &str = "
units: mm
housing: {name: Necked 4, invented: true, overall_length: 420}
gearbox_face:
  flange: {diameter: 280, thickness: 18}
  register: {kind: recess, diameter: 190, length: 6}
  bolt_circles:
    - {diameter: 244, count: 12, first_clock: 15, size: M10}
shell:
  wall: 8
  cavity:
    - {station: 0, diameter: 180}
    - {station: 160, diameter: 170}
    - {station: 200, diameter: 90}
    - {station: 330, diameter: 58}
tail:
  outside_diameter: 78
  barrel_diameter: 64
  collar_length: 22
  length: 100
  bushing: {bore: 45, length: 60}
  seal: {counterbore: 60, width: 10}
ribs:
  longitudinal:
    - {count: 6, first_clock: 30, from: 210, to: 335, height: 8, thickness: 6}
  rings:
    - {station: 330, height: 6}
mount_pad:
  base_station: 110
  drop: 125
  outline: {length: 100, width: 120}
  plate: {thickness: 14, tie: walls, tie_thickness: 8}
sender_boss:
  kind: gear
  station: 255
  side_offset: 28
  clock: 110
  diameter: 46
  height: 85
  bore_steps: [{diameter: 24, depth: 30}, {diameter: 22}]
plugs:
  - {kind: fill, station: 100, clock: 270, height: 105, thread: M12}
casting: {alloy: ductile_iron}
";

/// Every plate would stand 0.15 mm out of the part where that lies 0.08 mm within it: nothing is laid on, and nothing lacks.
#[test]
fn what_lacks_but_is_shallow_gets_larger_fillets() {
    let source = Source::from_bytes("a file", NECKED.as_bytes().to_vec()).expect("text");
    let design = Design::validate(params::read(&source).expect("a tree")).value.expect("a design");
    let finished = housing::build(&design).expect("a part");
    let casting = forms::casting(&design, &finished).expect("a casting");
    assert_eq!(casting.missing, vec![], "it holds the part");
    assert_eq!(casting.laid_on, vec![], "without plates");
    assert_ne!(casting.laid, housing::CastFillets::default(), "by larger balls, which the sheets tell");
}
