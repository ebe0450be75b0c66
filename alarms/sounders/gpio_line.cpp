#include "sounders/gpio_line.hpp"

#include <fmt/format.h>
#include <linux/gpio.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstring>

#include "sounders/gpio_request.hpp"

namespace drumwatch {

Result<GpioOutput> GpioOutput::open(const GpioPlace& place) {
    Result<GpioGrant> grant =
        request_gpio_line(place, {.flags = GPIO_V2_LINE_FLAG_OUTPUT, .initially_off = true});
    if (!grant) return Error{grant.error()};
    return GpioOutput(place, std::move(grant.value().line));
}

GpioOutput::~GpioOutput() {
    if (line_) (void)set(false);
}

Result<Done> GpioOutput::set(bool on) {
    gpio_v2_line_values values{};
    values.mask = 1;
    values.bits = on ? 1 : 0;
    if (::ioctl(line_.number(), GPIO_V2_LINE_SET_VALUES_IOCTL, &values) == 0) return Done{};
    return Error{
        fmt::format("cannot switch {} {}: {}", gpio_name(place_), on ? "on" : "off", std::strerror(errno))};
}

}  // namespace drumwatch
