//! Shipped files with a change in each that a check must tell.

use tailpattern::checks::Verdict;

/// A file, what is changed in it, and the checks that get worse by it.
pub type Wrong = (&'static str, &'static [&'static str], &'static [(Verdict, &'static str)]);

/// One change each.
pub const WRONG: &[Wrong] = {
    use Verdict::{Fail, Warn};
    &[
        ("minimal", &["shell.wall=2.9"], &[(Fail, "wall"), (Fail, "oil wall, worst case")]),
        ("minimal", &["shell.wall=4.8"], &[(Fail, "oil wall, worst case")]),
        (
            "pulse_sender",
            &["tail.drain_back.diameter=4.6", "tail.drain_back.distance=27.4"],
            &[(Fail, "metal beside a machined face"), (Fail, "wall of the print")],
        ),
        (
            "solid_pads",
            &["limits.machined_wall_worst=3"],
            &[(Fail, "metal beside a machined face, worst case")],
        ),
        (
            "solid_pads",
            &["mount_pad.holes.drill_depth=54.6", "limits.floor=3"],
            &[(Fail, "blind hole floor"), (Fail, "metal beside a machined face, worst case")],
        ),
        (
            "solid_pads",
            &["mount_pad.holes.depth=14"],
            &[(Fail, "thread engagement, diameters"), (Fail, "mount's threads hold in the casting, factor")],
        ),
        ("solid_pads", &["mount_pad.holes.drill_depth=22"], &[(Warn, "room below the thread")]),
        ("solid_pads", &["mount_pad.holes.grid.width=62"], &[(Fail, "hole's centre to edge, diameters")]),
        ("solid_pads", &["limits.head_room=7"], &[(Fail, "room about the bolt's head")]),
        ("solid_pads", &["limits.gap=16"], &[(Fail, "gap between features")]),
        ("solid_pads", &["casting.stock.all=0.5"], &[(Fail, "stock left, worst case")]),
        ("solid_pads", &["casting.mould.draft=0.5 deg"], &[(Warn, "draft")]),
        (
            "solid_pads",
            &["shift_box_pad.clock=-45 deg"],
            &[(Warn, "undercut"), (Fail, "lever in the tunnel's hole")],
        ),
        (
            "minimal",
            &["mating.turning=[{name: gear, from: 190, length: 15, diameter: 66}]"],
            &[(Fail, "turning part inside")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: floor, kind: box, from: 0, length: 300, side: 0, height: 110, width: 300, tall: 40}]",
            ],
            &[(Fail, "surroundings")],
        ),
        (
            "minimal",
            &["mating.turning=[{name: yoke, from: 190, length: 40, diameter: 40, rear_diameter: 62}]"],
            &[(Fail, "turning part inside")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: tunnel, kind: profile, from: -20, length: 300, corners: [{side: -200, height: 90}, {side: 200, height: 90}, {side: 200, height: 120}, {side: -200, height: 120}]}]",
            ],
            &[(Fail, "surroundings")],
        ),
        // Around the housing; in its hollow, off the metal and what turns; behind it, across the shaft.
        (
            "minimal",
            &[
                "surroundings=[{name: block, kind: box, from: -50, length: 500, side: 0, height: 0, width: 400, tall: 400}]",
            ],
            &[(Fail, "surroundings"), (Fail, "surroundings off what turns")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: bracket, kind: box, from: 60, length: 20, side: 28, height: 0, width: 6, tall: 6, clearance: 2}]",
            ],
            &[(Fail, "surroundings")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: rod, kind: pipe, from: -20, length: 3000, side: 0, height: 14, width: 5, clearance: 2}]",
            ],
            &[(Fail, "surroundings")],
        ),
        (
            "minimal",
            &[
                "surroundings=[{name: crossmember, kind: box, from: 330, length: 20, side: 0, height: 0, width: 400, tall: 30}]",
            ],
            &[(Fail, "surroundings off what turns")],
        ),
        (
            "minimal",
            &["trial_print.bed_length=80", "trial_print.bed_width=80", "trial_print.bed_height=80"],
            &[(Fail, "trial print can be made")],
        ),
        ("solid_pads", &["limits.swing=300 deg"], &[(Fail, "swing of a spanner")]),
        ("solid_pads", &["limits.socket_way=1"], &[(Fail, "straight way of a socket")]),
        ("solid_pads", &["limits.sender_way=30"], &[(Warn, "way of the sender")]),
        ("solid_pads", &["limits.lump=3.2"], &[(Fail, "heavy lump, modulus in walls")]),
        ("solid_pads", &["limits.section_change=3"], &[(Fail, "change of section, ratio")]),
        ("solid_pads", &["limits.cored_depth=1.5"], &[(Fail, "cored hole, depth in widths")]),
        ("solid_pads", &["limits.cored_width=40"], &[(Fail, "cored hole, width")]),
        ("solid_pads", &["limits.draft=2 deg"], &[(Fail, "draft")]),
        ("solid_pads", &["limits.undercut=100"], &[(Fail, "undercut")]),
        ("solid_pads", &["limits.overhang=0.01"], &[(Fail, "surface that overhangs, share")]),
        ("solid_pads", &["limits.bearing=0.001"], &[(Fail, "pressure on the core's prints")]),
        ("long_iron", &["limits.thin_edge=7"], &[(Fail, "thin edge where faces meet")]),
        ("minimal", &["limits.hot_spot=1.01"], &[(Fail, "hot spot, walls")]),
        ("solid_pads", &["trial_print.wall=3"], &[(Fail, "wall of the print")]),
        // A tonne and a half on the mount; a lorry's torque on it.
        (
            "solid_pads",
            &["vehicle.loads.carried_mass=1500", "mating.yoke.torque=1 N m"],
            &[
                (Fail, "housing's section against yield, factor"),
                (Fail, "housing's section against fatigue, factor"),
                (Fail, "housing's open section in torsion, factor"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "gearbox face held closed, factor"),
                (Fail, "gearbox face's bolts below their proof load, factor"),
                (Fail, "mount does not slip on its pad, factor"),
                (Fail, "pressure on the gearbox face"),
                (Fail, "root of the mount's pad against yield, factor"),
            ],
        ),
        (
            "demo_mm",
            &["vehicle.loads.torque_share=1", "mating.yoke.torque=2600 N m"],
            &[
                (Fail, "root of the mount's pad against yield, factor"),
                (Fail, "mount's bolts hold the joint closed, factor"),
                (Fail, "mount's bolts below their proof load, factor"),
                (Fail, "mount's threads hold in the casting, factor"),
                (Fail, "housing's closed section in torsion, factor"),
                (Fail, "housing's open section in torsion, factor"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "thrust of a spline that binds"),
                (Fail, "yoke in shear, factor of safety"),
            ],
        ),
    ]
};

/// The same for fits and driveline, which need no solid.
pub const MISFITS: &[Wrong] = {
    use Verdict::{Fail, Warn};
    &[
        // Fits.
        (
            "solid_pads",
            &["mating.bushing.seat_fit=H7/h6"],
            &[
                (Fail, "interference of the bushing"),
                (Fail, "bushing tight up to"),
                (Fail, "interference of the bushing when cold"),
            ],
        ),
        ("solid_pads", &["mating.bushing.seat_fit=H7/r6"], &[(Fail, "bushing tight up to")]),
        (
            "solid_pads",
            &["mating.bushing.seat_fit=H7/r6", "mating.bushing.pinned=true"],
            &[(Warn, "bushing tight up to")],
        ),
        ("solid_pads", &["mating.bushing.seat_fit=H7/u6"], &[(Fail, "compression of the bushing")]),
        (
            "minimal",
            &[
                "tail.outside_diameter=72",
                "mating.bushing={bore: 12, length: 38, material: steel, seat_fit: H7/u6}",
            ],
            &[(Fail, "stress around the bushing's seat")],
        ),
        // Bronze in iron gets tighter when hot: 0.06 mm stands, with 0.036 mm more it does not; in winter it comes loose.
        (
            "long_iron",
            &["mating.bushing.material=bronze", "mating.bushing.seat_fit=H7/r6"],
            &[(Fail, "compression of the bushing"), (Fail, "interference of the bushing when cold")],
        ),
        (
            "solid_pads",
            &["mating.bushing.running_fit=H7/h6"],
            &[(Warn, "running clearance of the yoke"), (Fail, "running clearance of the yoke when cold")],
        ),
        (
            "solid_pads",
            &["mating.bushing.bored_in_place=false"],
            &[(Fail, "running clearance of the yoke"), (Fail, "running clearance of the yoke when cold")],
        ),
        (
            "solid_pads",
            &["limits.running_clearance=0.1"],
            &[(Fail, "running clearance of the yoke when hot")],
        ),
        ("solid_pads", &["mating.register.fit=H7/p6"], &[(Fail, "clearance of the register")]),
        (
            "solid_pads",
            &["mating.register.diameter=146.41"],
            &[
                (Fail, "clearance of the register"),
                (Fail, "line-up with the gearbox's shaft"),
                (Fail, "room of bolts in their holes"),
            ],
        ),
        // A spigot of 130 in a bore of 130.3, and in one of 129, without any errors of position.
        (
            "minimal",
            &["mating.register={fit: H7/h6, diameter: 130.3}"],
            &[(Fail, "clearance of the register")],
        ),
        ("minimal", &["mating.register={fit: H7/h6, diameter: 129}"], &[(Fail, "clearance of the register")]),
        // H9/e9, ISO 286: up to 0.285 mm at 130; of a recess, the housing has the hole.
        ("minimal", &["mating.register={fit: H9/e9}"], &[(Fail, "clearance of the register")]),
        (
            "long_iron",
            &["mating.register={fit: H7/h6, diameter: 151.5}"],
            &[(Fail, "clearance of the register")],
        ),
        // The bushing: as long as 1 mm, 0.5 and 0.75 of its bore, and of its seat.
        ("solid_pads", &["mating.bushing.length=1"], &[(Fail, "length of the bushing")]),
        ("solid_pads", &["mating.bushing.length=18"], &[(Fail, "length of the bushing")]),
        ("solid_pads", &["mating.bushing.length=28"], &[(Warn, "length of the bushing")]),
        // Seal.
        ("solid_pads", &["mating.seal.outside_diameter=61.6"], &[(Fail, "press of the seal")]),
        ("solid_pads", &["mating.seal.outside_diameter=62.1"], &[(Fail, "press of the seal")]),
        ("solid_pads", &["mating.seal.width=14"], &[(Fail, "depth of the seal's counterbore")]),
        ("solid_pads", &["tail.seal.lead_in=2"], &[(Warn, "lead-in of the seal's counterbore")]),
        ("solid_pads", &["tail.seal.lead_in_angle=40 deg"], &[(Warn, "lead-in of the seal's counterbore")]),
        ("solid_pads", &["mating.seal.shaft_diameter=41.5"], &[(Fail, "barrel for the seal")]),
        (
            "solid_pads",
            &["mating.seal.lip=nbr", "vehicle.axle.engine_speed=6050 rpm"],
            &[(Fail, "speed of the seal's lip"), (Fail, "oil's temperature at the seal's lip")],
        ),
        ("solid_pads", &["mating.seal.runout=0.15"], &[(Fail, "offset and runout under the seal")]),
        // Slip yoke.
        ("solid_pads", &["mating.yoke.spline_length=25"], &[(Fail, "spline in engagement")]),
        ("solid_pads", &["mating.yoke.bottoms_at=262"], &[(Fail, "yoke before it bottoms")]),
        ("solid_pads", &["mating.yoke.bolt_head_reach=33"], &[(Fail, "bolt heads off the seal")]),
        ("solid_pads", &["mating.yoke.front=300"], &[(Fail, "bushing covered by the barrel")]),
        (
            "solid_pads",
            &["mating.yoke.barrel_length=65", "mating.yoke.spline_length=60"],
            &[(Fail, "bolt heads off the seal"), (Fail, "seal's lip on the barrel")],
        ),
        (
            "solid_pads",
            &["mating.yoke.torque=2600 N m"],
            &[
                (Fail, "yoke in shear, factor of safety"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "mount's bolts below their proof load, factor"),
                (Fail, "thrust of a spline that binds"),
            ],
        ),
        // Driveline.
        ("solid_pads", &["vehicle.propshaft.tube_outside=50"], &[(Fail, "speed of the propeller shaft")]),
        ("solid_pads", &["vehicle.propshaft.rear_joint_height=-10"], &[(Warn, "joint angle")]),
        (
            "solid_pads",
            &["vehicle.propshaft.rear_joint_height=-100"],
            &[(Fail, "unevenness of the propeller shaft")],
        ),
        ("solid_pads", &["vehicle.propshaft.pinion_up=-2 deg"], &[(Fail, "unevenness at the axle")]),
        ("solid_pads", &["vehicle.propshaft.pinion_up=0.9 deg"], &[]),
        ("solid_pads", &["vehicle.propshaft.yokes_in_line=false"], &[(Fail, "unevenness at the axle")]),
        (
            "solid_pads",
            &["vehicle.propshaft.pinion_up=-1.2 deg", "vehicle.axle.top_speed=60 mph"],
            &[(Warn, "joint angles' difference")],
        ),
        // Speedometer.
        (
            "solid_pads",
            &["vehicle.instrument.turns_per_mile=1050"],
            &[(Fail, "speedometer shows too much by")],
        ),
        (
            "solid_pads",
            &["vehicle.instrument.turns_per_mile=850"],
            &[(Fail, "speedometer shows too much by")],
        ),
        (
            "solid_pads",
            &["sender_boss.side_offset=27.78"],
            &[(Fail, "gears' axes off their centre distance")],
        ),
        (
            "solid_pads",
            &["sender_boss.side_offset=26.88"],
            &[(Fail, "gears' axes off their centre distance")],
        ),
        ("solid_pads", &["sender_boss.tilt=12 deg"], &[(Fail, "sender boss off the gears' shaft angle")]),
        (
            "solid_pads",
            &["mating.speedometer.drive_hand=right"],
            &[(Fail, "sender boss off the gears' shaft angle")],
        ),
        (
            "solid_pads",
            &["mating.speedometer.module=1"],
            &[(Fail, "driven gear through the boss"), (Fail, "gears' axes off their centre distance")],
        ),
        (
            "solid_pads",
            &["mating.speedometer.drive_from=235.5"],
            &[(Fail, "drive gear under the driven gear")],
        ),
        ("solid_pads", &["mating.speedometer.shaft_room=16.9"], &[(Fail, "end play of the drive gear")]),
        ("solid_pads", &["mating.speedometer.shaft_room=17.8"], &[(Warn, "end play of the drive gear")]),
        (
            "pulse_sender",
            &["vehicle.instrument.pulses_per_mile=36000"],
            &[(Fail, "speedometer shows too much by")],
        ),
        ("pulse_sender", &["mating.pulse_wheel.diameter=90"], &[(Fail, "pulse sender off its wheel")]),
        // Line-up and shift rail.
        (
            "solid_pads",
            &["mating.tolerances.bushing_seat=0.3"],
            &[(Fail, "line-up with the gearbox's shaft")],
        ),
        ("solid_pads", &["mating.tolerances.flange_holes=0.8"], &[(Fail, "room of bolts in their holes")]),
        ("solid_pads", &["mating.tolerances.flange_holes=0.8", "mating.tolerances.through_bolts=true"], &[]),
        ("solid_pads", &["mating.rail.old_length=150"], &[(Fail, "length of the shift rail")]),
        (
            "solid_pads",
            &["vehicle.hard_points.lever_hole_length=40"],
            &[(Warn, "lever in the tunnel's hole")],
        ),
        (
            "solid_pads",
            &["vehicle.hard_points.lever_hole=865"],
            &[(Warn, "off the vehicle's hard points"), (Fail, "lever in the tunnel's hole")],
        ),
        // The tunnel's top at 150.8125, the pad's face at 98.425; turned by 30 degrees, the lever meets the top
        // 150.8125 tan 30 deg = 87.1 mm beside the middle of a hole of 73.025 either way.
        (
            "solid_pads",
            &["vehicle.hard_points.lever_hole_height=90"],
            &[(Fail, "shift-box pad under the tunnel")],
        ),
        ("solid_pads", &["shift_box_pad.clock=30 deg"], &[(Fail, "lever in the tunnel's hole")]),
        (
            "solid_pads",
            &["shift_box_pad.clock=90 deg", "sender_boss.clock=280 deg"],
            &[(Fail, "shift-box pad turned from the tunnel's hole")],
        ),
        // A cable whose end lies ahead of the sender and beside its axis.
        ("solid_pads", &["vehicle.hard_points.cable_end=852"], &[(Warn, "bow of the speedometer's cable")]),
        (
            "solid_pads",
            &["vehicle.hard_points.cable_side=100"],
            &[(Warn, "speedometer's cable off the sender's axis")],
        ),
        (
            "solid_pads",
            &["vehicle.hard_points.crossmember=868", "limits.place=2"],
            &[(Fail, "off the vehicle's hard points")],
        ),
        (
            "solid_pads",
            &["vehicle.hard_points.crossmember_height=-151"],
            &[(Warn, "off the vehicle's hard points")],
        ),
        (
            "solid_pads",
            &["vehicle.hard_points.propshaft_flange=1091"],
            &[(Warn, "off the vehicle's hard points")],
        ),
        // Loads: a heavy engine on a long lever, loose bolts, bolts too strong for the alloy, too few, a short shaft.
        (
            "solid_pads",
            &["vehicle.loads.carried_mass=600", "vehicle.loads.lever=200"],
            &[
                (Fail, "mount's bolts hold the joint closed, factor"),
                (Fail, "mount's bolts below their proof load, factor"),
                (Fail, "mount does not slip on its pad, factor"),
                (Fail, "gearbox face does not slip, factor"),
            ],
        ),
        (
            "solid_pads",
            &["mating.fasteners.joint_friction=0.02", "mating.fasteners.mount_torque=15 N m"],
            &[(Fail, "mount does not slip on its pad, factor"), (Fail, "gearbox face does not slip, factor")],
        ),
        (
            "solid_pads",
            &["mating.fasteners.mount_torque=70 N m"],
            &[
                (Fail, "mount's bolts below their proof load, factor"),
                (Fail, "mount's threads hold in the casting, factor"),
            ],
        ),
        (
            "solid_pads",
            &["mating.fasteners.class=class_12.9"],
            &[(Fail, "mount's threads hold in the casting, factor")],
        ),
        ("solid_pads", &["mating.fasteners.face_class=class_12.9"], &[(Fail, "pressure under bolt heads")]),
        (
            "solid_pads",
            &["mating.fasteners.face_torque=70 N m"],
            &[(Fail, "gearbox face's bolts below their proof load, factor")],
        ),
        (
            "solid_pads",
            &["mating.fasteners.face_torque=5 N m"],
            &[(Fail, "pressure on the gearbox face"), (Fail, "gearbox face does not slip, factor")],
        ),
        (
            "solid_pads",
            &["mating.fasteners.face_torque=2 N m"],
            &[
                (Fail, "gearbox face held closed, factor"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "pressure on the gearbox face"),
            ],
        ),
        // A thin hard gasket under bolts far apart.
        (
            "solid_pads",
            &["vehicle.loads.gasket_thickness=0.05", "vehicle.loads.gasket_modulus=2 GPa"],
            &[(Warn, "pressure on the gearbox face between bolts")],
        ),
        // An open face fails even where no pressure is asked for.
        (
            "solid_pads",
            &["mating.fasteners.face_torque=2 N m", "vehicle.loads.gasket_pressure=0"],
            &[
                (Fail, "gearbox face held closed, factor"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "pressure on the gearbox face"),
            ],
        ),
        (
            "solid_pads",
            &["mating.bushing.length=3", "vehicle.loads.bearing_station=281"],
            &[
                (Fail, "length of the bushing"),
                (Fail, "pressure in the bushing"),
                (Warn, "pressure times speed in the bushing"),
                // So short a lever turns the couple into a force that bends the housing off its face.
                (Fail, "gearbox face held closed, factor"),
                (Fail, "gearbox face does not slip, factor"),
                (Fail, "gearbox face's bolts below their proof load, factor"),
                (Fail, "pressure on the gearbox face"),
                // The mount may have to bear it as well.
                (Fail, "mount's bolts hold the joint closed, factor"),
                (Fail, "mount does not slip on its pad, factor"),
                (Fail, "mount's bolts below their proof load, factor"),
                (Warn, "mount's threads hold in the casting, factor"),
            ],
        ),
        // Peaks that the press flattens by more than the interference.
        (
            "solid_pads",
            &["mating.bushing.seat_roughness=100 µm"],
            &[
                (Fail, "interference of the bushing"),
                (Fail, "bushing tight up to"),
                (Fail, "interference of the bushing when cold"),
            ],
        ),
        ("solid_pads", &["vehicle.loads.spline_friction=0.3"], &[(Fail, "thrust of a spline that binds")]),
        // Oil below the bushing; fed to it without a drain; over the breather.
        ("solid_pads", &["mating.oil.level=-30"], &[(Warn, "oil at the bushing")]),
        ("solid_pads", &["mating.oil.level=5"], &[(Warn, "oil at the seal")]),
        (
            "long_iron",
            &["mating.oil={level: -30}"],
            &[(Warn, "drain-back under the seal, of the feed's area")],
        ),
        (
            "long_iron",
            &["mating.oil={level: 20, slope: 30 deg}"],
            &[(Warn, "breather above the oil"), (Warn, "drain-back under the seal, of the feed's area")],
        ),
        ("short_lugs", &["mating.rail.diameter=15.1"], &[(Fail, "clearance of the shift rail")]),
        ("short_lugs", &["mating.rail.height=58.2"], &[(Fail, "shift rail's bore off the gearbox's")]),
    ]
};
