/* Third part: drawing. The wall from its map in WebGL 2, or ray by ray on a plain canvas. */
// ---- WebGL 2 ------------------------------------------------------------------------------------------------

const METAL_VERTEX = `#version 300 es
  precision highp float; precision highp int; precision highp isampler2DArray;
  uniform mat4 uMatrix; uniform isampler2DArray uShape; uniform highp sampler2D uDepth;
  uniform ivec2 uCells; uniform float uStep, uRadius, uHeights, uBody, uFrom, uSweep, uEnd;
  uniform vec4 uTorch, uFinish; uniform int uKind, uFirst, uSecond, uCount, uLast;
  out vec3 vNormal; out vec2 vAt; out vec3 vPosition; out float vAcross;
  const float TURN = 6.283185307179586;
  float depthAt(float row) { return texelFetch(uDepth, ivec2(int(row), 0), 0).r; }
  float level(int stage, float theta, float row) {
    float c = theta / TURN * float(uCells.x) - 0.5, f = floor(c);
    int i = int(mod(f, float(uCells.x))), j = clamp(int(row) - 1, 0, uCells.y - 1);
    float a = float(texelFetch(uShape, ivec3(j, i, stage), 0).r);
    float b = float(texelFetch(uShape, ivec3(j, (i + 1) % uCells.x, stage), 0).r);
    return (mix(a, b, c - f) + 0.5) * uStep;
  }
  /* Metal of a stage that later ones, a cut or a re-melt, have taken away again is not there. */
  float levelLeft(int stage, float theta, float row) {
    float least = level(stage, theta, row);
    for (int s = stage + 1; s <= uLast; s++) least = min(least, level(s, theta, row));
    return least;
  }
  vec3 place(int stage, float theta, float row) {
    float z = depthAt(row);
    vec2 u = vec2(sin(theta), cos(theta));
    if (stage < 0) return vec3(uBody * u, -z);
    vec2 f = uFinish.xy + uFinish.zw * z, o = uTorch.xy + uTorch.zw * z - f;
    float s = levelLeft(stage, theta, row), d = uRadius - s, along = dot(o, u);
    float r = sqrt(along * along - dot(o, o) + d * d) - along;
    return vec3(f + (o + r * u) * (uRadius - uHeights * s) / d, -z);
  }
  void main() {
    int k = gl_VertexID >> 1, v = gl_VertexID & 1;
    float theta = uFrom + uSweep * float(k) / float(uCount), row = uEnd;
    int stage = v == 0 ? uFirst : uSecond;
    if (uKind == 0) row = float(gl_InstanceID + v);
    if (uKind == 2) { theta = uFrom; row = float(k); }
    if (uKind == 3) row = v == 0 ? 0.0 : float(uCells.y + 1);
    vec3 u = vec3(sin(theta), cos(theta), 0.0), t = vec3(u.y, -u.x, 0.0);
    vAcross = float(v);
    vPosition = place(stage, theta, row);
    vNormal = uKind == 1 ? vec3(0, 0, 1) : uKind == 2 ? t : u;
    if (uKind == 0) {
      float before = max(row - 1.0, 0.0), after = min(row + 1.0, float(uCells.y + 1)), e = TURN / float(uCells.x);
      float along = -uHeights * (level(stage, theta, after) - level(stage, theta, before)) / (depthAt(after) - depthAt(before));
      float round = -uHeights * (level(stage, theta + e, row) - level(stage, theta - e, row)) / (2.0 * e * uRadius);
      vNormal = normalize(-u + round * t - along * vec3(0, 0, 1));
    }
    vAt = vec2(row - 0.5, theta / TURN * float(uCells.x));
    gl_Position = uMatrix * vec4(vPosition, 1.0);
  }`;

const METAL_FRAGMENT = `#version 300 es
  precision highp float; precision highp int; precision highp isampler2DArray; precision highp usampler2D;
  uniform isampler2DArray uStock, uField; uniform usampler2D uJudged; uniform sampler2D uRamp;
  uniform int uPaint, uStage, uNumbers, uBlackShown; uniform float uStep, uTop, uRadius, uHatch, uSpread;
  uniform vec3 uTint, uEye, uLight, uBlack, uEdge, uNot, uQuiet;
  in vec3 vNormal; in vec2 vAt; in vec3 vPosition; in float vAcross; out vec4 colour;
  ivec3 cell(vec2 at, int lod, int stage) {
    ivec2 size = textureSize(uStock, lod).xy, c = ivec2(floor(at / exp2(float(lod))));
    return ivec3(clamp(c.x, 0, size.x - 1), ((c.y % size.y) + size.y) % size.y, stage);
  }
  float field(vec2 at, int lod) { return float(texelFetch(uField, cell(at, lod, uStage), lod).r); }
  float smoothField(vec2 at) {
    vec2 p = at - 0.5, f = fract(p), o = floor(p) + 0.5;
    return mix(mix(field(o, 0), field(o + vec2(1, 0), 0), f.x), mix(field(o + vec2(0, 1), 0), field(o + 1.0, 0), f.x), f.y);
  }
  vec3 hatched(vec3 ground, vec3 line, float across, float share) {
    float t = abs(fract(across / uHatch) - 0.5) * uHatch, w = max(fwidth(across), 1e-6);
    return mix(ground, line, clamp(0.5 + (t - 0.5 * (1.0 - share) * uHatch) / w, 0.0, 1.0) * clamp(uHatch / w / 2.0, share, 1.0));
  }
  /* Least level under one pixel as it is shown, none of its cells left out: the map is read at the size of the
     pixel's short side, on both edges of it, and several times along the long one. */
  int leastUnder(vec2 at, vec2 a, vec2 b) {
    bool first = dot(a, a) > dot(b, b);
    vec2 along = first ? a : b, across = first ? b : a;
    int lod = int(clamp(ceil(log2(max(length(across), 1.0))), 0.0, 4.0)), least = 32767;
    int taps = int(clamp(ceil(length(along) / exp2(float(lod))) + 1.0, 2.0, 8.0));
    for (int k = 0; k < taps; k++) {
      vec2 p = at + along * (float(k) / float(taps - 1) - 0.5);
      least = min(least, texelFetch(uStock, cell(p - 0.5 * across, lod, uStage), lod).r);
      least = min(least, texelFetch(uStock, cell(p + 0.5 * across, lod, uStage), lod).r);
    }
    return least;
  }
  void main() {
    vec3 n = normalize(vNormal), towards = normalize(uEye - vPosition);
    if (dot(n, towards) < 0.0) n = -n;
    float shade = 0.6 + 0.4 * max(dot(n, uLight), 0.0);
    vec3 paint = uTint;
    float across = atan(vPosition.x, vPosition.y) * uRadius + vPosition.z;
    vec2 g = max(abs(dFdx(vAt)), abs(dFdy(vAt)));
    if (uPaint == 0) { colour = vec4(paint * shade, 1.0); return; }
    if (uPaint >= 2) {
      if (uPaint == 3) paint = hatched(paint, paint * 0.84, length(vPosition.xy) - vPosition.z, 0.14);
      float edge = min(vAcross, 1.0 - vAcross) / max(fwidth(vAcross), 1e-6);
      colour = vec4(mix(paint * 0.45, paint, clamp(edge - 0.2, 0.0, 1.0)) * (0.8 + 0.2 * shade), 1.0);
      return;
    }
    int lod = int(clamp(log2(max(max(g.x, g.y), 1.0)) + 0.5, 0.0, 3.0));
    if (uNumbers == 1) {
      int number = int(field(vAt, 0));
      if (number > 0) paint = texelFetch(uRamp, ivec2((number - 1) % textureSize(uRamp, 0).x, 0), 0).rgb;
    } else {
      float value = lod == 0 ? smoothField(vAt) : field(vAt, lod);
      paint = texture(uRamp, vec2((value + 0.5) * uStep / uTop * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
    }
    bool counted = texelFetch(uJudged, cell(vAt, 0, 0).xy, 0).r > 0u;
    vec3 lit = paint * shade;
    if (uBlackShown == 1 && counted && leastUnder(vAt, dFdx(vAt) * uSpread, dFdy(vAt) * uSpread) < 0)
      lit = hatched(uBlack, uEdge, across, 0.22) * (0.75 + 0.25 * shade);
    if (!counted) {
      vec2 p = gl_FragCoord.xy / 5.0;
      lit = mix(mix(lit, uNot * shade, 0.85), uQuiet, step(length(fract(p) - 0.5), 0.2) * 0.8);
    }
    colour = vec4(lit, 1.0);
  }`;

const LINE_VERTEX = `#version 300 es
  precision highp float;
  layout(location = 0) in vec3 aFrom; layout(location = 1) in vec3 aTo;
  uniform mat4 uMatrix; uniform vec2 uSize; uniform float uWidth, uScale, uLift;
  void main() {
    vec4 a = uMatrix * vec4(aFrom * vec3(uScale, uScale, 1), 1), b = uMatrix * vec4(aTo * vec3(uScale, uScale, 1), 1);
    vec2 d = (b.xy / b.w - a.xy / a.w) * uSize;
    d = length(d) > 0.0 ? normalize(d) : vec2(1, 0);
    vec4 p = (gl_VertexID & 1) == 0 ? a : b;
    vec2 side = vec2(-d.y, d.x) * ((gl_VertexID & 2) == 0 ? 1.0 : -1.0);
    vec2 along = (gl_VertexID & 1) == 0 ? -d : d;
    p.xy += (side + 0.5 * along) * uWidth / uSize * p.w;
    p.z -= uLift * p.w;
    gl_Position = p;
  }`;
const MESH_VERTEX = `#version 300 es
  precision highp float;
  layout(location = 0) in vec3 aPosition; uniform mat4 uMatrix; out vec3 vPosition;
  void main() { vPosition = aPosition; gl_Position = uMatrix * vec4(aPosition, 1.0); }`;
const TINT_FRAGMENT = `#version 300 es
  precision highp float; uniform vec4 uColour; out vec4 colour;
  void main() { colour = vec4(uColour.rgb * uColour.a, uColour.a); }`;
const MESH_FRAGMENT = `#version 300 es
  precision highp float; in vec3 vPosition; uniform vec4 uColour; uniform vec3 uEye; out vec4 colour;
  void main() {
    vec3 n = normalize(cross(dFdx(vPosition), dFdy(vPosition)));
    float flatness = abs(dot(n, normalize(uEye - vPosition)));
    float alpha = uColour.a < 1.0 ? uColour.a * (2.2 - 1.5 * flatness) : 1.0;
    colour = vec4(uColour.rgb * (0.75 + 0.25 * flatness) * alpha, alpha);
  }`;

function webgl() {
  const gl = canvas.getContext("webgl2", { antialias: false, alpha: false, powerPreference: "low-power" });
  if (!gl) return null;

  function program(vertex, fragment) {
    const made = gl.createProgram();
    for (const [type, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(type);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(made, shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || "shader");
    }
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) || "program");
    const at = {};
    for (let k = 0; k < gl.getProgramParameter(made, gl.ACTIVE_UNIFORMS); k++) {
      const { name } = gl.getActiveUniform(made, k);
      at[name] = gl.getUniformLocation(made, name);
    }
    return { made, at };
  }

  const metal = program(METAL_VERTEX, METAL_FRAGMENT), line = program(LINE_VERTEX, TINT_FRAGMENT), mesh = program(MESH_VERTEX, MESH_FRAGMENT);
  const empty = gl.createVertexArray();

  function texture(unitNumber, target, upload) {
    const made = gl.createTexture();
    gl.activeTexture(gl.TEXTURE0 + unitNumber);
    gl.bindTexture(target, made);
    gl.texParameteri(target, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
    gl.texParameteri(target, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
    gl.texParameteri(target, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
    gl.texParameteri(target, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    upload();
    return made;
  }
  function fill(map, how, levels, first) {
    const stages = map.length / (N * M);
    for (let l = 0, m = M, n = N; l < levels; l++) {
      gl.texSubImage3D(gl.TEXTURE_2D_ARRAY, l, 0, 0, first, m, n, stages, gl.RED_INTEGER, gl.SHORT, map);
      if (l < levels - 1) [map, m, n] = [halved(map, m, n, how), Math.max(1, m >> 1), Math.max(1, n >> 1)];
    }
  }
  function mapTexture(unitNumber, map, how, levels = LEVELS) {
    return texture(unitNumber, gl.TEXTURE_2D_ARRAY, () => {
      gl.texParameteri(gl.TEXTURE_2D_ARRAY, gl.TEXTURE_MIN_FILTER, gl.NEAREST_MIPMAP_NEAREST);
      gl.texStorage3D(gl.TEXTURE_2D_ARRAY, levels, gl.R16I, M, N, STAGES);
      fill(map, how, levels, 0);
    });
  }

  const maps = mapTexture(0, stock, "least"), shapes = mapTexture(5, shape(stock), "least", 1);
  texture(1, gl.TEXTURE_2D, () => gl.texImage2D(gl.TEXTURE_2D, 0, gl.R32F, M + 2, 1, 0, gl.RED, gl.FLOAT, depthOf));
  texture(2, gl.TEXTURE_2D, () => gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8UI, M, N, 0, gl.RED_INTEGER, gl.UNSIGNED_BYTE, judged));
  const fields = {}, ramps = {};
  function choose(mode) {
    if (!fields[mode]) {
      fields[mode] = mapTexture(3, fieldOf(mode), mergedBy(mode));
      const stops = mode === "layer" ? META.colours.layers : rampOf(mode);
      const bytes = Uint8Array.from(stops.flatMap((c) => hex(c).map((v) => Math.round(255 * v))));
      ramps[mode] = texture(4, gl.TEXTURE_2D, () => {
        gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB8, stops.length, 1, 0, gl.RGB, gl.UNSIGNED_BYTE, bytes);
      });
    }
    gl.activeTexture(gl.TEXTURE3);
    gl.bindTexture(gl.TEXTURE_2D_ARRAY, fields[mode]);
    gl.activeTexture(gl.TEXTURE4);
    gl.bindTexture(gl.TEXTURE_2D, ramps[mode]);
  }

  /* Take over the levels of one stage that have changed. */
  function update(stage) {
    const levels = stock.subarray(stage * N * M, (stage + 1) * N * M);
    const into = (unitNumber, made, map, how, count) => {
      gl.activeTexture(gl.TEXTURE0 + unitNumber);
      gl.bindTexture(gl.TEXTURE_2D_ARRAY, made);
      fill(map, how, count, stage);
    };
    into(0, maps, levels, "least", LEVELS);
    into(5, shapes, shape(levels), "least", 1);
    for (const mode of Object.keys(fields)) into(3, fields[mode], fieldOf(mode, stage, stage), mergedBy(mode), LEVELS);
  }

  function segments(item) {
    const out = new Float32Array(item.joined.length * 3);
    item.joined.forEach((k, i) => out.set(item.points.subarray(3 * k, 3 * k + 3), 3 * i));
    return out;
  }
  function lineSet(points) {
    const array = gl.createVertexArray(), buffer = gl.createBuffer();
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    for (const k of [0, 1]) {
      gl.enableVertexAttribArray(k);
      gl.vertexAttribPointer(k, 3, gl.FLOAT, false, 24, 12 * k);
      gl.vertexAttribDivisor(k, 1);
    }
    const set = { array, buffer, count: 0, fill(data) {
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      gl.bufferData(gl.ARRAY_BUFFER, data, gl.DYNAMIC_DRAW);
      set.count = data.length / 6;
    } };
    set.fill(points);
    return set;
  }
  function meshSet(item) {
    const array = gl.createVertexArray();
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, item.points, gl.STATIC_DRAW);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, item.joined, gl.STATIC_DRAW);
    return { array, count: item.joined.length };
  }
  const sets = {};
  for (const [name, item] of Object.entries(furniture)) sets[name] = item.each === 2 ? lineSet(segments(item)) : meshSet(item);
  const moving = {};
  for (const name of ["ink", "finish", "torch", "place"]) moving[name] = lineSet(new Float32Array(0));

  function drawMetal(kind, first, second, { tint = "#000000", paint = 0, count, from = metalFrom(), end = 0, instances = 1 }) {
    const { at } = metal;
    gl.uniform1i(at.uKind, kind);
    gl.uniform1i(at.uFirst, first);
    gl.uniform1i(at.uSecond, second);
    gl.uniform1i(at.uCount, count);
    gl.uniform1f(at.uFrom, from);
    gl.uniform1f(at.uEnd, end);
    gl.uniform1i(at.uPaint, paint);
    gl.uniform3fv(at.uTint, hex(tint));
    gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 2 * (count + 1), instances);
  }

  function drawWalls(light, each) {
    const hatch = 2 ** Math.round(Math.log2(11 * each));
    const { at } = metal, { colours } = META, sweep = TURN - opening(), around = Math.max(8, Math.ceil((128 * sweep) / TURN));
    gl.useProgram(metal.made);
    gl.bindVertexArray(empty);
    for (const [name, value] of [["uStock", 0], ["uShape", 5], ["uDepth", 1], ["uJudged", 2], ["uField", 3], ["uRamp", 4], ["uStage", state.stage], ["uLast", state.stage]]) gl.uniform1i(at[name], value);
    gl.uniform1i(at.uNumbers, state.colour === "layer" ? 1 : 0);
    gl.uniform1i(at.uBlackShown, state.colour === "stock" ? 1 : 0);
    gl.uniform2i(at.uCells, N, M);
    for (const [name, value] of [["uStep", STEP], ["uRadius", RADIUS], ["uHeights", heights()], ["uBody", body()], ["uSweep", sweep], ["uTop", TOPS[state.colour] || 1], ["uHatch", hatch], ["uSpread", Math.max(1, canvas.width / size[0])]]) gl.uniform1f(at[name], value);
    gl.uniform4fv(at.uTorch, TORCH);
    gl.uniform4fv(at.uFinish, FINISH);
    gl.uniformMatrix4fv(at.uMatrix, false, matrix);
    gl.uniform3fv(at.uEye, eye);
    gl.uniform3fv(at.uLight, light);
    for (const [name, c] of [["uBlack", colours.black], ["uEdge", colours.edge], ["uNot", colours.notJudged], ["uQuiet", colours.light.quiet]]) gl.uniform3fv(at[name], hex(c));
    drawMetal(0, state.stage, state.stage, { tint: surface.metal, paint: 1, count: around, instances: M + 1 });
    drawMetal(3, -1, -1, { tint: surface.metal, count: around });
    const first = Math.min(BEFORE, state.stage);
    for (let s = first; s <= state.stage; s++) {
      const outer = s === first ? -1 : s - 1;
      const tint = s === first ? surface.metal : layerColour(s);
      const paint = s === first ? 3 : 2;
      for (const end of [0, M + 1]) drawMetal(1, outer, s, { tint, paint: 2, count: around, end });
      for (const from of cutEdges()) drawMetal(2, outer, s, { tint, paint, count: M + 1, from });
    }
  }

  function drawLines(set, colour, width, { scale = 1, lift = 4e-4 } = {}) {
    if (!set || !set.count) return;
    gl.useProgram(line.made);
    gl.bindVertexArray(set.array);
    gl.uniformMatrix4fv(line.at.uMatrix, false, matrix);
    gl.uniform2f(line.at.uSize, canvas.width, canvas.height);
    gl.uniform1f(line.at.uWidth, (width * canvas.width) / size[0]);
    gl.uniform1f(line.at.uScale, scale);
    gl.uniform1f(line.at.uLift, lift);
    gl.uniform4f(line.at.uColour, ...hex(colour), 1);
    gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 4, set.count);
  }
  function drawMesh(set, colour, alpha) {
    if (!set) return;
    gl.useProgram(mesh.made);
    gl.bindVertexArray(set.array);
    gl.uniformMatrix4fv(mesh.at.uMatrix, false, matrix);
    gl.uniform3fv(mesh.at.uEye, eye);
    gl.uniform4f(mesh.at.uColour, ...hex(colour), alpha);
    gl.drawElements(gl.TRIANGLES, set.count, gl.UNSIGNED_INT, 0);
  }

  function draw() {
    const { side, above, d, half, distance } = camera(), { colours } = META, each = (2 * half * distance) / size[1];
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(...hex(surface.background), 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    choose(state.colour);
    drawWalls(unit(plus(plus(d, above, 0.55), side, -0.45)), each);
    const lines = movingLines();
    for (const name of Object.keys(moving)) moving[name].fill(lines[name]);
    drawLines(moving.ink, "#2b2925", 1.1);
    drawLines(sets.ring, surface.faint, 1.3, { scale: body() / META.body });
    drawMesh(sets.arrow, surface.quiet, 1);
    if (state.spots && state.stage === LAST) drawLines(sets.low, colours.edge, Math.max(0.8, Math.min(1.6, 0.3 / each)), { lift: 1.2e-3 });
    if (state.finish) {
      drawLines(moving.finish, colours.finish, 2.4, { lift: 8e-4 });
      drawLines(sets.faces, colours.finish, 2.2, { lift: 8e-4 });
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
      gl.depthMask(false);
      drawMesh(sets.finish, colours.finish, 0.07);
      gl.depthMask(true);
      gl.disable(gl.BLEND);
    }
    drawLines(moving.place, "#ffffff", 3.6, { lift: 1.4e-3 });
    drawLines(moving.place, "#1f2328", 1.6, { lift: 1.8e-3 });
    drawLines(moving.torch, surface.panel, 7, { lift: 2e-3 });
    drawLines(moving.torch, surface.ink, torch && torch.on ? 4 : 1.5, { lift: 2.5e-3 });
  }
  function sample(fx, fy) {
    draw();
    const pixel = new Uint8Array(4);
    gl.readPixels(Math.floor(fx * canvas.width), Math.floor((1 - fy) * canvas.height), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
    return [...pixel];
  }
  const wait = () => gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  return { draw, sample, wait, update, sharp: 1.5 };
}

const mergedBy = (mode) => (mode === "layer" ? "first" : "mean");

function rampOf(mode) {
  const stops = META.colours[mode];
  return Array.from({ length: 256 }, (_, k) => {
    const share = k / 255, i = Math.max(0, stops.findLastIndex(([at]) => at <= share)), [a, b] = [stops[i], stops[i + 1] || stops[i]];
    const part = b[0] > a[0] ? (share - a[0]) / (b[0] - a[0]) : 0, x = hex(a[1]), y = hex(b[1]);
    return "#" + x.map((v, c) => Math.round(255 * (v + part * (y[c] - v))).toString(16).padStart(2, "0")).join("");
  });
}

// ---- a plain canvas, ray by ray -----------------------------------------------------------------------------

function plain() {
  const context = canvas.getContext("2d");
  let cache = {};
  if (!context) return null;
  const small = document.createElement("canvas");
  function paintAt(hit) {
    const p = hit.at, theta = Math.atan2(p[0], p[1]);
    if (hit.why !== "hole") return hex(hit.why === "cut" ? sectionColour(p, theta) : surface.metal);
    const [k, flat] = levelAt(state.stage, theta, -p[2]), mode = state.colour;
    cache[mode] ||= { field: fieldOf(mode), ramp: mode === "layer" ? META.colours.layers : rampOf(mode) };
    if (!judged[flat]) return hex(META.colours.notJudged);
    if (mode === "stock" && stock[k] < 0) return hex(modulo(theta * RADIUS + p[2], 4) < 1.1 ? META.colours.edge : META.colours.black);
    const value = cache[mode].field[k], { ramp } = cache[mode];
    if (mode === "layer") return hex(value > 0 ? ramp[(value - 1) % ramp.length] : surface.metal);
    return hex(ramp[Math.max(0, Math.min(255, Math.round((255 * value * STEP) / TOPS[mode])))]);
  }
  function sectionColour(p, theta) {
    const d = Math.hypot(p[0] - FINISH[0] + FINISH[2] * p[2], p[1] - FINISH[1] + FINISH[3] * p[2]);
    const first = Math.min(BEFORE, state.stage);
    for (let s = first; s <= state.stage; s++) {
      let level = 32767;
      for (let e = s; e <= state.stage; e++) level = Math.min(level, (stock[levelAt(e, theta, -p[2])[0]] + 0.5) * STEP);
      if (d > RADIUS - heights() * level) return s === first ? surface.metal : layerColour(s);
    }
    return surface.metal;
  }
  function shadeOf(hit) {
    const u = unit([hit.at[0], hit.at[1], 0]), n = { face: [0, 0, 1], cut: [u[1], -u[0], 0] }[hit.why] || u;
    return 0.62 + 0.38 * Math.abs(dot(n, facing()));
  }
  function draw(part = 1) {
    const block = 2.5 / part, w = (small.width = Math.ceil(size[0] / block)), h = (small.height = Math.ceil(size[1] / block)), ground = hex(surface.background);
    const to = small.getContext("2d"), image = to.createImageData(w, h);
    for (let y = 0; y < h; y++)
      for (let x = 0; x < w; x++) {
        const hit = firstMetal(...rayAt(((x + 0.5) * size[0]) / w, ((y + 0.5) * size[1]) / h), 3);
        const paint = hit ? paintAt(hit).map((v) => v * shadeOf(hit)) : ground;
        image.data.set([...paint.map((v) => 255 * v), 255], 4 * (y * w + x));
      }
    to.putImageData(image, 0, 0);
    context.drawImage(small, 0, 0, canvas.width, canvas.height);
    const { points, joined } = furniture.arrow, corner = (k) => project([...points.subarray(3 * k, 3 * k + 3)]);
    context.fillStyle = surface.quiet;
    for (let k = 0; k < joined.length; k += 3) {
      context.beginPath();
      for (let c = 0; c < 3; c++) context.lineTo(...corner(joined[k + c]).slice(0, 2));
      context.fill();
    }
    const lines = movingLines().torch;
    context.lineWidth = torch && torch.on ? 3 : 1;
    context.strokeStyle = surface.ink;
    for (let k = 0; k < lines.length; k += 6) {
      context.beginPath();
      for (const from of [k, k + 3]) context.lineTo(...project([...lines.subarray(from, from + 3)]).slice(0, 2));
      context.stroke();
    }
  }
  const update = () => { cache = {}; };
  const sample = (fx, fy) => {
    draw();
    return [...context.getImageData(Math.floor(fx * canvas.width), Math.floor(fy * canvas.height), 1, 1).data];
  };
  return { draw, sample, update, wait: () => 0, sharp: 1 };
}
