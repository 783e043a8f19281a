//! Product, units and shape representation: what the geometry belongs to.

use crate::geometry::Frame;
use crate::tolerance::FILE_UNCERTAINTY;

use super::StepInfo;
use super::geometry::Geometry;
use super::part21::{Id, List, Part21, Real, Text};

/// The entities of the part to which shape, colours and properties refer.
pub(super) struct Part {
    /// `product_definition_shape`.
    pub(super) definition: Id,
    /// The geometric context with its units.
    pub(super) context: Id,
    /// The millimetre.
    pub(super) millimetre: Id,
}

/// Writes the product and the context of its geometry.
pub(super) fn part(file: &mut Part21, info: &StepInfo) -> Part {
    let application = file.add(format_args!("APPLICATION_CONTEXT('managed model based 3d engineering')"));
    file.add(format_args!(
        "APPLICATION_PROTOCOL_DEFINITION('international standard',\
         'ap242_managed_model_based_3d_engineering',2014,{application})"
    ));
    let context = file.add(format_args!("PRODUCT_CONTEXT('',{application},'mechanical')"));
    let (id, name, description) = (Text(&info.id), Text(&info.name), Text(&info.description));
    let product = file.add(format_args!("PRODUCT({id},{name},{description},({context}))"));
    file.add(format_args!("PRODUCT_RELATED_PRODUCT_CATEGORY('part','',({product}))"));
    let version = file.add(format_args!("PRODUCT_DEFINITION_FORMATION('','',{product})"));
    let stage =
        file.add(format_args!("PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')"));
    let form = Text(&info.form);
    let definition = file.add(format_args!("PRODUCT_DEFINITION('design',{form},{version},{stage})"));
    let definition = file.add(format_args!("PRODUCT_DEFINITION_SHAPE('','',{definition})"));
    let (context, millimetre) = units(file);
    Part { definition, context, millimetre }
}

fn units(file: &mut Part21) -> (Id, Id) {
    let length = file.add(format_args!("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))"));
    let angle = file.add(format_args!("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))"));
    let solid = file.add(format_args!("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())"));
    let uncertainty = Real(FILE_UNCERTAINTY);
    let uncertainty = file.add(format_args!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({uncertainty}),{length},\
         'distance_accuracy_value','greatest gap between edges, vertices and faces')"
    ));
    let context = file.add(format_args!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({uncertainty}))\
         GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid}))REPRESENTATION_CONTEXT('','3D'))"
    ));
    (context, length)
}

/// Writes the shape representation that holds the solids.
pub(super) fn shape(file: &mut Part21, geometry: &mut Geometry, part: &Part, solids: &[Id], info: &StepInfo) {
    let mut items = vec![geometry.placement(file, &Frame::world())];
    items.extend_from_slice(solids);
    let (name, items, context) = (Text(&info.name), List(&items), part.context);
    let shape = file.add(format_args!("ADVANCED_BREP_SHAPE_REPRESENTATION({name},{items},{context})"));
    file.add(format_args!("SHAPE_DEFINITION_REPRESENTATION({},{shape})", part.definition));
}
