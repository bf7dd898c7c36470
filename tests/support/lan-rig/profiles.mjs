// One place for every link profile. up = device->hub, down = hub->device. All ms, per direction.
// structuralAsym = (shortest up) - (shortest down): no exchange-based method can see it; half of it is the floor.
export const PROFILES = {
  clean: {
    up: "base=0.1 lomax=0.05,3,5",
    down: "base=0.1 lomax=0.05,3,5",
    structuralAsym: 0,
    note: "wired LAN, RTT ~0.4 ms, no loss",
  },
  good: {
    up: "pareto=8,6 loss=0.01",
    down: "pareto=8,6 loss=0.01",
    structuralAsym: 0,
    note: 'netem "delay 8ms 6ms distribution pareto loss 1%" each way (min one-way 4.5 ms)',
  },
  busy: {
    up: "base=3 lomax=25,2.5,120 loss=0.02",
    down: "base=3 lomax=25,2.5,120 loss=0.02",
    structuralAsym: 0,
    note: "one-way 3 ms + heavy tail: p30 5, p50 11, p95 61, cap 123 ms; 2 % loss each way",
  },
  awful: {
    up: "base=12 lomax=60,2,400 hold=0.15,100,300 loss=0.04 burst=0.1,400,1",
    down: "base=4 lomax=25,2,250 hold=0.15,100,300 loss=0.04 burst=0.1,400,1",
    structuralAsym: 8,
    note: "up 12 ms + tail(p50 37,p95 220), down 4 ms + tail(p50 14,p95 91), ~200 ms holds, 8 % loss (4 % iid + bursts)",
  },
  outage: {
    up: "pareto=8,6 loss=0.01",
    down: "pareto=8,6 loss=0.01",
    structuralAsym: 0,
    outages: [
      [85, 115],
      [265, 295],
    ],
    note: "good Wi-Fi, link fully down 85-115 s and 265-295 s after join",
  },
};
