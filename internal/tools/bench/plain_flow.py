"""The yardstick of `make bench`: the same placed points by the plain means, full-frame
Lucas-Kanade there and back with OpenCV's defaults.

usage: plain_flow.py CLIP PLACEMENTS.json
"""
import json
import sys

import cv2
import numpy as np

clip = cv2.VideoCapture(sys.argv[1], cv2.CAP_FFMPEG)
with open(sys.argv[2]) as f:
    placed = {p["frame"]: p["points"] for p in json.load(f)["placements"]}
before = points = None
n = 0
while True:
    ok, picture = clip.read()
    if not ok:
        break
    grey = cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY)
    if points is not None:
        to, found, _ = cv2.calcOpticalFlowPyrLK(before, grey, points, None)
        back, found_back, _ = cv2.calcOpticalFlowPyrLK(grey, before, to, None)
        points = to
    if n in placed:
        points = np.array([p[:2] for p in placed[n].values()], np.float32).reshape(-1, 1, 2)
    before = grey
    n += 1
