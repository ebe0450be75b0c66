"""An independent Modbus server for the driver's tests: python3-pymodbus, with registers in every type and order.
jsmodbus/server.mjs holds the same.

usage: pymodbus_server.py [PORT]       Modbus TCP; without a port (or with 0) the kernel chooses
       pymodbus_server.py rtu DEVICE   Modbus RTU, units 1 and 2 (2 has other values); all others are silent

Prints  modbus: 127.0.0.1:PORT  or  modbus: DEVICE  and then a line  coil ADDRESS VALUE  for each coil written.
"""
import asyncio
import struct
import sys

from pymodbus.datastore import ModbusServerContext, ModbusSlaveContext, ModbusSparseDataBlock
from pymodbus.server.async_io import ModbusSerialServer, ModbusTcpServer

ORDERS = {"ABCD": (0, 1, 2, 3), "CDAB": (2, 3, 0, 1), "BADC": (1, 0, 3, 2), "DCBA": (3, 2, 1, 0)}


def registers(form, value, order):
    """The two registers of a 32-bit value."""
    packed = struct.pack(">" + form, value)
    return list(struct.unpack(">HH", bytes(packed[i] for i in ORDERS[order])))


def block():
    """Register 0 and 1: 16 bits. From 100: float32, int32 and uint32 in each order, two registers each."""
    values = {0: [0x10000 - 50, 65486], 500: [0x7FFF], 666: [0]}
    address = 100
    for form, value in (("f", 205.3), ("i", -1250), ("I", 4_000_000_000)):
        for order in ORDERS:
            values[address] = registers(form, value, order)
            address += 2
    return values


class Failing(ModbusSparseDataBlock):
    """Reading register 666 fails inside the device (exception 4)."""

    def getValues(self, address, count=1):
        if address <= 666 < address + count:
            raise RuntimeError("the device failed")
        return super().getValues(address, count)


class Coils(ModbusSparseDataBlock):
    def setValues(self, address, values, use_as_default=False):
        super().setValues(address, values, use_as_default)
        print("coil", address, int(values[0]), flush=True)


def unit(registers_of_unit):
    return ModbusSlaveContext(ir=Failing(registers_of_unit), hr=Failing(registers_of_unit), co=Coils({3: [0, 0]}),
                              zero_mode=True)


async def serve_tcp(port):
    context = ModbusServerContext(slaves={1: unit(block())}, single=False)
    server = ModbusTcpServer(context, address=("127.0.0.1", port), allow_reuse_address=True)
    task = asyncio.create_task(server.serve_forever())
    await server.serving
    print("modbus: 127.0.0.1:%d" % server.server.sockets[0].getsockname()[1], flush=True)
    await task


async def serve_rtu(device):
    slaves = {1: unit(block()), 2: unit({0: [2222]})}
    context = ModbusServerContext(slaves=slaves, single=False)
    # No parity: a pseudo-terminal has none, and this server refuses one that does not do as told.
    server = ModbusSerialServer(context, port=device, baudrate=115200, parity="N", timeout=1,
                                ignore_missing_slaves=True)
    await server.start()
    if server.transport is None:
        sys.exit("%s can't be opened" % device)
    print("modbus: %s" % device, flush=True)
    await server.serve_forever()


if sys.argv[1:2] == ["rtu"]:
    asyncio.run(serve_rtu(sys.argv[2]))
else:
    asyncio.run(serve_tcp(int(sys.argv[1]) if len(sys.argv) > 1 else 0))
