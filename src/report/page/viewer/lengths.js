// Lengths and areas of the part, which the page's data has in millimetres, as texts in the unit of the parameter file.
const MM_PER_INCH = 25.4;

/** A number with so many decimals in millimetres, two more in inches; without zeros at its end. */
const number = (mm, decimals, unit) =>
  unit === "in" ? Number((mm / MM_PER_INCH).toFixed(decimals + 2)) : Number(mm.toFixed(decimals));

/** A length in mm. */
export const lengthTold = (mm, decimals, unit) => `${number(mm, decimals, unit)} ${unit}`;

/** A place in mm: to a tenth of a millimetre, or a thousandth of an inch. */
export const placeTold = (place, unit) => `${place.map((mm) => number(mm, 1, unit)).join(", ")} ${unit}`;

/** An area in mm²: as it is, or to a hundredth of a square inch. */
export const areaTold = (mm2, unit) =>
  unit === "in" ? `${(mm2 / (MM_PER_INCH * MM_PER_INCH)).toFixed(2)} in²` : `${mm2} mm²`;
