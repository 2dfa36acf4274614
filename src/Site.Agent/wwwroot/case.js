// The kit's camera, for one photo of its case. The picture goes from here to the kit's program and from there to the clinic; it is kept nowhere on the kit.

const longestSide = 1920;
let stream = null;

// Answers null, or the name of what kept the camera away.
export async function begin(video) {
  end();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: longestSide } }, audio: false });
    video.srcObject = stream;
    await video.play();
    return null;
  } catch (fault) {
    end();
    return fault?.name ?? "unknown";
  }
}

export function end() {
  stream?.getTracks().forEach(track => track.stop());
  stream = null;
}

// Answers the photo's id, or null when it did not get through.
export async function shoot(video) {
  try {
    const scale = Math.min(1, longestSide / Math.max(video.videoWidth, video.videoHeight));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
    end();
    const picture = await new Promise(resolve => canvas.toBlob(resolve, "image/jpeg", 0.85));
    const answer = await fetch("/case/photo", { method: "POST", body: picture });
    return answer.ok ? (await answer.json()).photo ?? null : null;
  } catch {
    end();
    return null; // the helper is told that it did not get through
  }
}
