// Joined only where the venue file states a production: its outputs at the chosen instant.

const rowsOfCamera = figureRows;
figureRows = (camera, k) => [...rowsOfCamera(camera, k), ["Outputs", camera.outputs?.[k] || "\u2013"]];
