// A context of libmodbus that is closed and freed.
#pragma once

#include <memory>

struct _modbus;  // modbus_t, so that no header needs the library's

namespace drumwatch {

struct FreeModbusContext {
    void operator()(_modbus* context) const;
};
using ModbusContext = std::unique_ptr<_modbus, FreeModbusContext>;

}  // namespace drumwatch
