/**
 * A camera in the network, as far as gphoto2 asks one: a responder of PTP (ISO 15740) over TCP (CIPA
 * DC-005 "PTP/IP"), on loopback. Layouts of packets and data sets from those standards, from memory. It
 * notes every operation that it is asked for; it does nothing that is not reading.
 */

import type { AddressInfo } from "node:net";
import { createServer, type Server, type Socket } from "node:net";

const OK = 0x2001;
const NOT_SUPPORTED = 0x2005;
export const OPERATIONS = {
  getDeviceInfo: 0x1001,
  openSession: 0x1002,
  closeSession: 0x1003,
  getStorageIds: 0x1004,
  getStorageInfo: 0x1005,
  getNumObjects: 0x1006,
  getObjectHandles: 0x1007,
  getObjectInfo: 0x1008,
  getDevicePropDesc: 0x1014,
  getDevicePropValue: 0x1015,
} as const;

const STORE = 0x0001_0001;
const U8 = 0x0002;
const U16 = 0x0004;
const U32 = 0x0006;
const TEXT = 0xffff;

export interface CameraNow {
  freeBytes: number;
  batteryPct: number;
  /** Its clock's time of day as it shows it: "20270802T100207". */
  clock: () => string;
  files: number;
  iso: number;
  /** In seconds. */
  exposureS: number;
  fNumber: number;
}

export interface PtpCamera {
  /** As gphoto2 takes it. */
  address: string;
  now: CameraNow;
  /** Operation codes in the order in which they came. */
  operations: number[];
  /** While false it takes connections and says nothing. */
  answers: boolean;
  stop(): Promise<void>;
}

const u16 = (value: number) => {
  const bytes = Buffer.alloc(2);
  bytes.writeUInt16LE(value);
  return bytes;
};
const u32 = (value: number) => {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32LE(value >>> 0);
  return bytes;
};
const u64 = (value: number) => {
  const bytes = Buffer.alloc(8);
  bytes.writeBigUInt64LE(BigInt(Math.round(value)));
  return bytes;
};
const text = (value: string) =>
  value === ""
    ? Buffer.from([0])
    : Buffer.concat([Buffer.from([value.length + 1]), Buffer.from(`${value}\0`, "utf16le")]);
const list16 = (values: readonly number[]) => Buffer.concat([u32(values.length), ...values.map(u16)]);
const list32 = (values: readonly number[]) => Buffer.concat([u32(values.length), ...values.map(u32)]);

/** @param port 0 for any */
export async function startPtpCamera(port = 0): Promise<PtpCamera> {
  const sockets = new Set<Socket>();
  const camera: PtpCamera = {
    address: "",
    now: {
      freeBytes: 38e9,
      batteryPct: 73,
      clock: () => "20270802T100207",
      files: 3,
      iso: 200,
      exposureS: 1 / 500,
      fNumber: 8,
    },
    operations: [],
    answers: true,
    async stop() {
      for (const socket of sockets) socket.destroy();
      await new Promise<void>((resolve) => server.close(() => resolve()));
    },
  };
  const server: Server = createServer((socket) => {
    sockets.add(socket);
    socket.on("error", () => undefined);
    socket.on("close", () => sockets.delete(socket));
    let rest = Buffer.alloc(0);
    socket.on("data", (chunk) => {
      if (!camera.answers) return;
      rest = Buffer.concat([rest, chunk]);
      for (; rest.length >= 8; ) {
        const length = rest.readUInt32LE(0);
        if (length < 8 || rest.length < length) break;
        for (const packet of answer(rest.readUInt32LE(4), rest.subarray(8, length), camera))
          socket.write(packet);
        rest = rest.subarray(length);
      }
    });
  });
  await new Promise<void>((resolve) => server.listen(port, "127.0.0.1", resolve));
  const { port: own } = server.address() as AddressInfo;
  // Commands and events come in at one port.
  camera.address = `ptpip:127.0.0.1:${own}:${own}`;
  return camera;
}

const packet = (type: number, body: Buffer) => Buffer.concat([u32(body.length + 8), u32(type), body]);

function answer(type: number, body: Buffer, camera: PtpCamera): Buffer[] {
  // Init command request: connection number, GUID, name, version 1.0.
  if (type === 1)
    return [
      packet(2, Buffer.concat([u32(1), Buffer.alloc(16, 7), Buffer.from("Cam\0", "utf16le"), u32(0x1_0000)])),
    ];
  // Init event request.
  if (type === 3) return [packet(4, Buffer.alloc(0))];
  // Operation request: data phase, code, transaction, parameters.
  if (type !== 6) return [];
  const code = body.readUInt16LE(4);
  const transaction = body.readUInt32LE(6);
  const first = body.length >= 14 ? body.readUInt32LE(10) : 0;
  camera.operations.push(code);
  const done = operate(code, first, camera.now);
  const response = packet(
    7,
    Buffer.concat([u16(done?.code ?? NOT_SUPPORTED), u32(transaction), ...(done?.parameters ?? []).map(u32)]),
  );
  if (!done?.data) return [response];
  return [
    packet(9, Buffer.concat([u32(transaction), u64(done.data.length)])),
    packet(12, Buffer.concat([u32(transaction), done.data])),
    response,
  ];
}

interface Done {
  code: number;
  data?: Buffer;
  parameters?: number[];
}

const PROPERTIES = [0x5001, 0x5007, 0x500d, 0x500f, 0x5011];

function operate(code: number, parameter: number, now: CameraNow): Done | null {
  const given = (data: Buffer): Done => ({ code: OK, data });
  switch (code) {
    case OPERATIONS.getDeviceInfo:
      return given(
        Buffer.concat([
          u16(100),
          u32(0),
          u16(100),
          text(""),
          u16(0),
          list16(Object.values(OPERATIONS)),
          list16([]),
          list16(PROPERTIES),
          list16([]),
          list16([0x3801]),
          text("Invented"),
          text("Field camera"),
          text("1.0"),
          text("0001"),
        ]),
      );
    case OPERATIONS.openSession:
    case OPERATIONS.closeSession:
      return { code: OK };
    case OPERATIONS.getStorageIds:
      return given(list32([STORE]));
    case OPERATIONS.getStorageInfo:
      return given(
        Buffer.concat([
          u16(4),
          u16(3),
          u16(0),
          u64(64e9),
          u64(now.freeBytes),
          u32(1000),
          text("Card"),
          text("CARD"),
        ]),
      );
    case OPERATIONS.getNumObjects:
      return { code: OK, parameters: [now.files] };
    case OPERATIONS.getObjectHandles:
      return given(list32(Array.from({ length: now.files }, (_, n) => n + 1)));
    case OPERATIONS.getObjectInfo:
      return given(
        Buffer.concat([
          u32(STORE),
          u16(0x3801),
          u16(0),
          u32(20e6),
          u16(0),
          ...Array.from({ length: 6 }, () => u32(0)),
          u32(0),
          u16(0),
          u32(0),
          u32(0),
          text(`IMG_${String(parameter).padStart(4, "0")}.JPG`),
          text("20270802T100000"),
          text("20270802T100000"),
          text(""),
        ]),
      );
    case OPERATIONS.getDevicePropDesc: {
      const property = propertyOf(parameter, now);
      return (
        property &&
        given(
          Buffer.concat([
            u16(parameter),
            u16(property.type),
            Buffer.from([0]),
            property.value,
            property.value,
            Buffer.from([0]),
          ]),
        )
      );
    }
    case OPERATIONS.getDevicePropValue: {
      const property = propertyOf(parameter, now);
      return property && given(property.value);
    }
    default:
      return null;
  }
}

function propertyOf(code: number, now: CameraNow): { type: number; value: Buffer } | null {
  if (code === 0x5001) return { type: U8, value: Buffer.from([now.batteryPct]) };
  if (code === 0x5007) return { type: U16, value: u16(now.fNumber * 100) };
  if (code === 0x500d) return { type: U32, value: u32(now.exposureS * 10_000) };
  if (code === 0x500f) return { type: U16, value: u16(now.iso) };
  if (code === 0x5011) return { type: TEXT, value: text(now.clock()) };
  return null;
}
