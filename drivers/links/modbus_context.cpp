#include "drivers/links/modbus_context.hpp"

#include <modbus/modbus.h>

namespace drumwatch {

void FreeModbusContext::operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
}

}  // namespace drumwatch
