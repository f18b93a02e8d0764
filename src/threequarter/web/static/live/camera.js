// Camera and microphone, or in one word why not.

import { element, recall } from "../page.js";

/** @type {Record<string, string>} */
const WHY = {
  NotAllowedError: "refused",
  SecurityError: "refused",
  NotFoundError: "no_camera",
  OverconstrainedError: "no_camera",
  NotReadableError: "busy",
  AbortError: "busy",
};

/**
 * @param {string} camera an id, "" for the usual one
 * @param {string} microphone
 * @returns {Promise<{ stream?: MediaStream, why?: string }>}
 */
export async function openCamera(camera, microphone) {
  if (!navigator.mediaDevices) return { why: "no_secure" };
  if (!("requestVideoFrameCallback" in HTMLVideoElement.prototype) || !("OffscreenCanvas" in globalThis))
    return { why: "old" };
  const video = {
    ...(camera ? { deviceId: camera } : { facingMode: "environment" }),
    width: { ideal: 1280 },
    frameRate: { ideal: 30 },
  };
  const audio = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
  try {
    const heard = { ...audio, ...(microphone ? { deviceId: microphone } : {}) };
    return { stream: await navigator.mediaDevices.getUserMedia({ video, audio: heard }) };
  } catch {
    try {
      return { stream: await navigator.mediaDevices.getUserMedia({ video }) }; // the arm can be measured without sound
    } catch (error) {
      return { why: WHY[/** @type {DOMException} */ (error).name] || "no_camera" };
    }
  }
}

/** Fills the choice of cameras and microphones; their names are known once one is open. */
export async function shareDevices() {
  const devices = await navigator.mediaDevices.enumerateDevices();
  for (const [id, kind] of [
    ["live-camera", "videoinput"],
    ["live-microphone", "audioinput"],
  ]) {
    const choice = element(id, HTMLSelectElement);
    const usual = choice.options[0];
    const found = devices.filter((one) => one.kind === kind && one.deviceId);
    choice.replaceChildren(
      usual,
      ...found.map((one) => new Option(one.label || one.deviceId.slice(0, 6), one.deviceId)),
    );
    choice.value = found.some((one) => one.deviceId === recall(id)) ? recall(id) : "";
  }
}
