// openapi.json, embedded when the program is built.
#pragma once

#include <span>

namespace drumwatch {

std::span<const unsigned char> openapi_text();

}  // namespace drumwatch
