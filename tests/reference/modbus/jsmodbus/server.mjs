// An independent Modbus server for the driver's tests: jsmodbus, with the same registers as pymodbus_server.py, packed
// by Node's own Buffer. The library reads and writes the frames; which registers there are stands here.
//
// usage: server.mjs [PORT]       Modbus TCP; without a port (or with 0) the kernel chooses
//        server.mjs rtu DEVICE   Modbus RTU
//
// Units 1 and 2 (2 has three temperatures in tenths); all others are silent.
// Prints  modbus: 127.0.0.1:PORT  or  modbus: DEVICE  and then a line  coil ADDRESS VALUE  for each coil written.
import { constants, createReadStream, createWriteStream, openSync } from "node:fs";
import { createServer } from "node:net";
import { Duplex } from "node:stream";
import modbus from "jsmodbus";

const { responses, server } = modbus;
const kIllegalAddress = 2;
const kDeviceFailure = 4;
const kFailing = 666;
const orders = { ABCD: [0, 1, 2, 3], CDAB: [2, 3, 0, 1], BADC: [1, 0, 3, 2], DCBA: [3, 2, 1, 0] };

/** Register 0 and 1: 16 bits. From 100: float32, int32 and uint32 in each order, two registers each. */
function registersOfUnitOne() {
    const registers = new Map([
        [0, 0x10000 - 50],
        [1, 65486],
        [500, 0x7fff],
        [kFailing, 0],
    ]);
    const packed = [Buffer.alloc(4), Buffer.alloc(4), Buffer.alloc(4)];
    packed[0].writeFloatBE(205.3);
    packed[1].writeInt32BE(-1250);
    packed[2].writeUInt32BE(4_000_000_000);
    let address = 100;
    for (const bytes of packed)
        for (const order of Object.values(orders)) {
            const sent = Buffer.from(order.map((place) => bytes[place]));
            registers.set(address++, sent.readUInt16BE(0));
            registers.set(address++, sent.readUInt16BE(2));
        }
    return registers;
}

const units = new Map([
    [1, registersOfUnitOne()],
    [2, new Map([[0, 2222], [1, 1867], [2, 305]])],
]);
const coils = new Set([3, 4]);

const refusal = (body, code) => new responses.ExceptionResponseBody(body.fc, code);

function readBody(Body, unit, asked) {
    const sent = Buffer.alloc(2 * asked.count);
    for (let i = 0; i < asked.count; ++i) {
        const address = asked.start + i;
        if (address === kFailing) return refusal(asked, kDeviceFailure);
        if (!unit.has(address)) return refusal(asked, kIllegalAddress);
        sent.writeUInt16BE(unit.get(address), 2 * i);
    }
    return new Body(sent.length, sent);
}

function writeBody(asked) {
    if (!coils.has(asked.address)) return refusal(asked, kIllegalAddress);
    console.log(`coil ${asked.address} ${asked.value === 0xff00 ? 1 : 0}`);
    return responses.WriteSingleCoilResponseBody.fromRequest(asked);
}

/** Without buffers of its own the library asks us for each answer. */
const noBuffers = { coils: undefined, discrete: undefined, holding: undefined, input: undefined };

function answerBy(device, Response) {
    const on = (event, make) =>
        device.on(event, (request, reply) => {
            const unit = units.get(request.unitId);
            if (unit) reply(Response.fromRequest(request, make(unit, request.body)).createPayload());
        });
    on("readHoldingRegisters", (unit, asked) => readBody(responses.ReadHoldingRegistersResponseBody, unit, asked));
    on("readInputRegisters", (unit, asked) => readBody(responses.ReadInputRegistersResponseBody, unit, asked));
    on("writeSingleCoil", (_unit, asked) => writeBody(asked));
}

if (process.argv[2] === "rtu") {
    const device = process.argv[3];
    const line = openSync(device, constants.O_RDWR | constants.O_NOCTTY);
    const both = Duplex.from({
        readable: createReadStream("", { fd: line }),
        writable: createWriteStream("", { fd: line, autoClose: false }),
    });
    answerBy(new server.RTU(both, noBuffers), modbus.ModbusRTUResponse);
    console.log(`modbus: ${device}`);
} else {
    const listener = createServer();
    answerBy(new server.TCP(listener, noBuffers), modbus.ModbusTCPResponse);
    listener.listen(Number(process.argv[2] ?? 0), "127.0.0.1", () =>
        console.log(`modbus: 127.0.0.1:${listener.address().port}`),
    );
}
