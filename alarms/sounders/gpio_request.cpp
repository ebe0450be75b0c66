#include "sounders/gpio_request.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <linux/gpio.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstring>
#include <optional>

#include "sounders/gpio_refusal.hpp"

namespace drumwatch {

namespace {

/// The kernel's arrays of characters need not end with a zero.
template <std::size_t N>
std::string text_of(const char (&field)[N]) {
    return std::string(field, ::strnlen(field, N));
}

gpio_v2_line_request make_request(const GpioPlace& place, const GpioWish& wish, bool debounce) {
    gpio_v2_line_request request{};
    request.num_lines = 1;
    request.offsets[0] = place.offset;
    std::strncpy(request.consumer, kGpioConsumer, sizeof request.consumer - 1);
    request.config.flags = wish.flags | (place.active_low ? GPIO_V2_LINE_FLAG_ACTIVE_LOW : 0);
    if (!wish.initially_off && !debounce) return request;
    gpio_v2_line_config_attribute& attribute = request.config.attrs[0];
    request.config.num_attrs = 1;
    attribute.mask = 1;
    if (debounce) {
        attribute.attr.id = GPIO_V2_LINE_ATTR_ID_DEBOUNCE;
        attribute.attr.debounce_period_us = static_cast<std::uint32_t>(wish.debounce_ms * 1000);
    } else {
        attribute.attr.id = GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES;
        attribute.attr.values = 0;
    }
    return request;
}

/// The line's descriptor, or the kernel's number of the error.
struct Asked {
    Descriptor line;
    int error = 0;
};

Asked ask(const Descriptor& chip, gpio_v2_line_request request) {
    if (::ioctl(chip.number(), GPIO_V2_GET_LINE_IOCTL, &request) < 0) return {Descriptor(), errno};
    return {Descriptor(request.fd), 0};
}

std::string consumer_of(const Descriptor& chip, std::uint32_t offset) {
    gpio_v2_line_info info{};
    info.offset = offset;
    if (::ioctl(chip.number(), GPIO_V2_GET_LINEINFO_IOCTL, &info) < 0) return {};
    return text_of(info.consumer);
}

}  // namespace

Result<GpioGrant> request_gpio_line(const GpioPlace& place, const GpioWish& wish) {
    const Descriptor chip(::open(place.chip.c_str(), O_RDWR | O_CLOEXEC | O_NONBLOCK));
    if (!chip) return chip_not_opened(place.chip, errno);
    gpiochip_info info{};
    if (::ioctl(chip.number(), GPIO_GET_CHIPINFO_IOCTL, &info) < 0) return no_gpio_chip(place.chip, errno);
    const std::string label = text_of(info.label);
    if (place.offset >= info.lines) return no_such_line(place, label, info.lines);

    bool debounce = wish.debounce_ms > 0;
    Asked asked = ask(chip, make_request(place, wish, debounce));
    // Whatever else is wrong is wrong without debouncing too, and is said then.
    if (!asked.line && debounce && asked.error != EBUSY) {
        debounce = false;
        asked = ask(chip, make_request(place, wish, debounce));
    }
    if (asked.error == EBUSY) return line_in_use(place, label, consumer_of(chip, place.offset));
    if (!asked.line) return line_refused(place, label, asked.error);
    return GpioGrant{std::move(asked.line), debounce};
}

std::string gpio_name(const GpioPlace& place) {
    return fmt::format("line {} of {}", place.offset, place.chip);
}

Result<bool> read_gpio_line(const Descriptor& line, const GpioPlace& place) {
    gpio_v2_line_values values{};
    values.mask = 1;
    if (::ioctl(line.number(), GPIO_V2_LINE_GET_VALUES_IOCTL, &values) < 0)
        return Error{fmt::format("cannot read {}: {}", gpio_name(place), std::strerror(errno))};
    return (values.bits & 1) != 0;
}

}  // namespace drumwatch
