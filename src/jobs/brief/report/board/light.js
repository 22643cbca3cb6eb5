// Part 6 of 9: vectors, and which faces of the stands the sun reaches.

const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

function unit(a) {
  const length = Math.hypot(...a) || 1;
  return a.map((part) => part / length);
}

function middle(points) {
  return [0, 1, 2].map((axis) => points.reduce((sum, point) => sum + point[axis], 0) / points.length);
}

// The direction TO the sun in field axes (along, across to the left, up).
function sunDirection(index) {
  const [azimuth, elevation] = data.sun[index].map((degrees) => (degrees * Math.PI) / 180);
  return [Math.cos(elevation) * Math.cos(azimuth), -Math.cos(elevation) * Math.sin(azimuth), Math.sin(elevation)];
}

function describeFace(face) {
  const centre = middle(face.corners);
  const normal = unit(cross(minus(face.corners[1], face.corners[0]), minus(face.corners[2], face.corners[0])));
  const radius = Math.max(...face.corners.map((corner) => Math.hypot(...minus(corner, centre))));
  // The two axes that stay when the face is flattened along its steepest one.
  const steepest = normal.map(Math.abs).indexOf(Math.max(...normal.map(Math.abs)));
  const [u, v] = [0, 1, 2].filter((axis) => axis !== steepest);
  const flat = face.corners.flatMap((corner) => [corner[u], corner[v]]);
  return { ...face, centre, normal, radius, u, v, flat };
}

let solids = []; // the faces with what is worked out once
const faceLight = []; // per instant, made when first asked for

function blocks(face, from, toSun) {
  const slope = dot(face.normal, toSun);
  const away = minus(face.centre, from);
  const ahead = dot(away, toSun);
  if (dot(away, away) - ahead * ahead > face.radius ** 2 || Math.abs(slope) < 1e-6) return false;
  const far = dot(face.normal, away) / slope;
  if (far < 0.3) return false; // its own plane or one that it touches
  return insideRings([face.flat], from[face.u] + far * toSun[face.u], from[face.v] + far * toSun[face.v]);
}

// The light on the middle of each face, through all that stands in the way; kept per instant.
function lightOnFaces(index) {
  if (faceLight[index]) return faceLight[index];
  const toSun = sunDirection(index);
  const shines = data.sun[index][2] && toSun[2] > 0;
  faceLight[index] = Float32Array.from(solids, (face) => {
    let light = shines ? 1 : 0;
    for (const other of solids) {
      if (light === 0) break;
      if (other !== face && blocks(other, face.centre, toSun)) light *= other.passes;
    }
    return light;
  });
  return faceLight[index];
}

// The side that the camera sees may look away from the sun; then only light passed through counts.
function seenLight(face, light, from, toSun) {
  const sunSide = dot(face.normal, toSun);
  const seenSide = dot(face.normal, minus(from, face.centre));
  return sunSide * seenSide > 0 ? light : light * face.passes;
}
