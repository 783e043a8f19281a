// Draws meshes and lines with WebGL 2.

const FACES = `#version 300 es
in vec3 place; in vec3 normal; in vec4 colour;
uniform mat4 view; uniform vec3 shift;
out vec3 where; out vec3 facing; out vec4 paint;
void main() { where = place + shift; facing = normal; paint = colour; gl_Position = view * vec4(where, 1.0); }`;

const SHADE = `#version 300 es
precision highp float;
in vec3 where; in vec3 facing; in vec4 paint;
uniform vec4 plane; uniform float cuts; uniform vec3 toward; uniform vec3 right; uniform vec3 up; uniform vec3 cutColour;
out vec4 colour;
void main() {
  if (cuts > 0.5 && dot(plane.xyz, where) > plane.w) discard;
  if (!gl_FrontFacing && cuts > 0.5) {
    colour = vec4(cutColour, 1.0);
    return;
  }
  vec3 n = normalize(facing);
  vec3 seen = vec3(dot(n, right), dot(n, up), dot(n, toward));
  float light = 0.44 + 0.54 * max(0.0, dot(seen, normalize(vec3(-0.42, 0.58, 0.7)))) + 0.16 * max(0.0, dot(seen, normalize(vec3(0.75, -0.35, 0.56))));
  vec3 base = mix(paint.rgb, vec3(1.0, 0.62, 0.1), paint.a * 0.75);
  colour = vec4(min(base * light, vec3(1.0)), 1.0);
}`;

// The plane of a section as a square about a place; what is drawn of it is chosen by the stencil.
const SQUARE = `#version 300 es
uniform mat4 view; uniform vec3 middle; uniform vec3 right; uniform vec3 up;
out vec3 where;
void main() {
  vec2 corner = vec2(gl_VertexID & 1, gl_VertexID >> 1) * 2.0 - 1.0;
  where = middle + right * corner.x + up * corner.y;
  gl_Position = view * vec4(where, 1.0);
}`;

const HATCHED = `#version 300 es
precision highp float;
in vec3 where;
uniform vec3 along; uniform vec3 cutColour;
out vec4 colour;
void main() { colour = vec4(cutColour * (0.86 + 0.14 * step(0.5, fract(dot(where, along) / 5.0))), 1.0); }`;

const LINES = `#version 300 es
in vec3 place;
uniform mat4 view; uniform vec3 shift;
out vec3 where;
void main() { where = place + shift; gl_Position = view * vec4(where, 1.0); }`;

const INK = `#version 300 es
precision highp float;
in vec3 where;
uniform vec4 plane; uniform float cuts; uniform vec4 ink;
out vec4 colour;
void main() { if (cuts > 0.5 && dot(plane.xyz, where) > plane.w) discard; colour = ink; }`;

const SHARP = [0.12, 0.13, 0.15, 0.9];
const SMOOTH = [0.12, 0.13, 0.15, 0.28];
const CUT = [0.86, 0.52, 0.34];

const program = (gl, vertex, fragment) => {
  const made = gl.createProgram();
  [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ].forEach(([kind, text]) => {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  });
  ["place", "normal", "colour"].forEach((name, k) => gl.bindAttribLocation(made, k, name));
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made));
  return { made, at: (name) => gl.getUniformLocation(made, name) };
};

/** What the graphics processor keeps of a mesh. */
class Uploaded {
  constructor(gl, { positions, normals, indices, lines }) {
    this.gl = gl;
    this.buffers = [];
    this.count = indices.length;
    this.faces = gl.createVertexArray();
    gl.bindVertexArray(this.faces);
    const places = this.buffer(gl.ARRAY_BUFFER, positions);
    this.attribute(0, 3, gl.FLOAT, false);
    this.buffer(gl.ARRAY_BUFFER, normals);
    this.attribute(1, 3, gl.FLOAT, false);
    this.colours = this.buffer(gl.ARRAY_BUFFER, new Uint8Array((4 * positions.length) / 3));
    this.attribute(2, 4, gl.UNSIGNED_BYTE, true);
    this.buffer(gl.ELEMENT_ARRAY_BUFFER, indices);
    this.lines = null;
    if (lines) {
      this.lines = gl.createVertexArray();
      gl.bindVertexArray(this.lines);
      gl.bindBuffer(gl.ARRAY_BUFFER, places);
      this.attribute(0, 3, gl.FLOAT, false);
      this.buffer(gl.ELEMENT_ARRAY_BUFFER, lines);
    }
    gl.bindVertexArray(null);
  }

  buffer(kind, data) {
    const made = this.gl.createBuffer();
    this.buffers.push(made);
    this.gl.bindBuffer(kind, made);
    this.gl.bufferData(kind, data, this.gl.STATIC_DRAW);
    return made;
  }

  attribute(place, size, kind, normalised) {
    this.gl.enableVertexAttribArray(place);
    this.gl.vertexAttribPointer(place, size, kind, normalised, 0, 0);
  }

  paint(colours) {
    this.gl.bindBuffer(this.gl.ARRAY_BUFFER, this.colours);
    this.gl.bufferData(this.gl.ARRAY_BUFFER, colours, this.gl.STATIC_DRAW);
  }

  drop() {
    this.buffers.forEach((buffer) => this.gl.deleteBuffer(buffer));
    this.gl.deleteVertexArray(this.faces);
    if (this.lines) this.gl.deleteVertexArray(this.lines);
  }
}

/** Draws on a canvas; `make` gives null where the browser has no WebGL 2. */
export class Renderer {
  static make(canvas) {
    const gl = canvas.getContext("webgl2", { antialias: true, stencil: true });
    return gl === null ? null : new Renderer(gl);
  }

  constructor(gl) {
    this.gl = gl;
    this.shaded = program(gl, FACES, SHADE);
    this.inked = program(gl, LINES, INK);
    this.hatched = program(gl, SQUARE, HATCHED);
    this.nothing = gl.createVertexArray();
    gl.enable(gl.DEPTH_TEST);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
  }

  upload(mesh) {
    return new Uploaded(this.gl, mesh);
  }

  /**
   * Draws `items`, each `{mesh, shift, sharp}`, as a frame sees them: its matrix, axes, plane, whether with edges, ground,
   * its target, and a length that bounds all distances from there.
   */
  draw(items, frame) {
    const { gl } = this;
    gl.viewport(0, 0, gl.drawingBufferWidth, gl.drawingBufferHeight);
    gl.clearColor(...frame.ground, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    this.faces(items, frame);
    if (frame.plane) this.cap(items, frame);
    if (frame.edges) this.edges(items, frame);
    gl.bindVertexArray(null);
  }

  common({ at }, frame) {
    const { gl } = this;
    gl.uniformMatrix4fv(at("view"), false, frame.matrix);
    gl.uniform1f(at("cuts"), frame.plane ? 1 : 0);
    gl.uniform4fv(at("plane"), frame.plane ? [...frame.plane.normal, frame.plane.offset] : [0, 0, 0, 0]);
  }

  faces(items, frame) {
    const { gl, shaded } = this;
    gl.useProgram(shaded.made);
    this.common(shaded, frame);
    ["right", "up", "toward"].forEach((name) => gl.uniform3fv(shaded.at(name), frame.axes[name]));
    gl.uniform3fv(shaded.at("cutColour"), CUT);
    // Faces lie a little deeper than lines on them.
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    this.bodies(items, shaded);
    gl.disable(gl.POLYGON_OFFSET_FILL);
  }

  /** The plane where it cuts metal: there a ray into the view leaves one body more often than it enters one. */
  cap(items, frame) {
    const { gl, shaded, hatched } = this;
    gl.enable(gl.STENCIL_TEST);
    gl.disable(gl.DEPTH_TEST);
    gl.colorMask(false, false, false, false);
    gl.stencilFunc(gl.ALWAYS, 0, 0xff);
    gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
    gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
    this.bodies(items, shaded);
    gl.enable(gl.DEPTH_TEST);
    gl.colorMask(true, true, true, true);
    gl.stencilFunc(gl.NOTEQUAL, 0, 0xff);
    gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
    this.square(frame, hatched);
    gl.disable(gl.STENCIL_TEST);
  }

  bodies(items, { at }) {
    const { gl } = this;
    items.forEach(({ mesh, shift }) => {
      gl.uniform3fv(at("shift"), shift);
      gl.bindVertexArray(mesh.faces);
      gl.drawElements(gl.TRIANGLES, mesh.count, gl.UNSIGNED_INT, 0);
    });
  }

  /** The plane as a square that covers all that is seen. */
  square({ matrix, plane, target, reach }, { made, at }) {
    const { gl } = this;
    const unit = (k) => [0, 1, 2].map((i) => (i === k ? 1 : 0));
    const [one, other] = [unit((plane.axis + 1) % 3), unit((plane.axis + 2) % 3)];
    gl.useProgram(made);
    gl.uniformMatrix4fv(at("view"), false, matrix);
    gl.uniform3fv(at("middle"), target.map((x, i) => (i === plane.axis ? plane.at : x)));
    gl.uniform3fv(at("right"), one.map((x) => x * reach));
    gl.uniform3fv(at("up"), other.map((x) => x * reach));
    gl.uniform3fv(at("along"), one.map((x, i) => x + other[i]));
    gl.uniform3fv(at("cutColour"), CUT);
    gl.bindVertexArray(this.nothing);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
  }

  edges(items, frame) {
    const { gl, inked } = this;
    gl.useProgram(inked.made);
    this.common(inked, frame);
    gl.enable(gl.BLEND);
    items
      .filter(({ mesh }) => mesh.lines)
      .forEach(({ mesh, shift, sharp, lines }) => {
        gl.uniform3fv(inked.at("shift"), shift);
        gl.bindVertexArray(mesh.lines);
        gl.uniform4fv(inked.at("ink"), SHARP);
        gl.drawElements(gl.LINES, sharp, gl.UNSIGNED_INT, 0);
        gl.uniform4fv(inked.at("ink"), SMOOTH);
        gl.drawElements(gl.LINES, lines - sharp, gl.UNSIGNED_INT, 4 * sharp);
      });
    gl.disable(gl.BLEND);
  }
}
