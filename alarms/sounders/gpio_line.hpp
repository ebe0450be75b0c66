// One output line of the kernel's GPIO character device. Source: linux/gpio.h, version 2 of the interface.
// Not thread-safe. Errors are sentences; open again (a new object) after one.
#pragma once

#include <utility>

#include "core/result.hpp"
#include "sounders/descriptor.hpp"
#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// Off from the first moment, and off again at the end of the object. A process that is killed has no end:
/// the kernel then only takes the line back, and what level it keeps is up to the chip's driver; the daemon's
/// next start sets it off.
class GpioOutput {
  public:
    static Result<GpioOutput> open(const GpioPlace& place);
    ~GpioOutput();
    GpioOutput(GpioOutput&&) = default;
    GpioOutput& operator=(GpioOutput&&) = delete;

    Result<Done> set(bool on);

  private:
    GpioOutput(GpioPlace place, Descriptor line) : place_(std::move(place)), line_(std::move(line)) {}

    GpioPlace place_;
    Descriptor line_;
};

}  // namespace drumwatch
