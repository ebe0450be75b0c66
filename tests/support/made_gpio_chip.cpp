#include "support/made_gpio_chip.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cerrno>
#include <cstdarg>
#include <cstring>
#include <fstream>
#include <map>
#include <mutex>

namespace drumwatch {
namespace {

constexpr std::size_t kKernelsEvents = 16;  // for one line, where the request names no number
constexpr std::uint64_t kEdges = GPIO_V2_LINE_FLAG_EDGE_RISING | GPIO_V2_LINE_FLAG_EDGE_FALLING;
constexpr std::uint64_t kDirections = GPIO_V2_LINE_FLAG_INPUT | GPIO_V2_LINE_FLAG_OUTPUT;
constexpr std::uint64_t kDrives = GPIO_V2_LINE_FLAG_OPEN_DRAIN | GPIO_V2_LINE_FLAG_OPEN_SOURCE;
constexpr std::uint64_t kBiases =
    GPIO_V2_LINE_FLAG_BIAS_PULL_UP | GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN | GPIO_V2_LINE_FLAG_BIAS_DISABLED;
constexpr std::uint64_t kKnown = GPIO_V2_LINE_FLAG_ACTIVE_LOW | kDirections | kEdges | kDrives | kBiases |
                                 GPIO_V2_LINE_FLAG_EVENT_CLOCK_REALTIME;

bool several(std::uint64_t flags) { return std::popcount(flags) > 1; }

/// After the comments of enum gpio_v2_line_flag.
bool good_flags(std::uint64_t flags) {
    if ((flags & ~kKnown) != 0 || several(flags & kDirections) || several(flags & kDrives) ||
        several(flags & kBiases))
        return false;
    if ((flags & kEdges) != 0 && (flags & GPIO_V2_LINE_FLAG_INPUT) == 0) return false;
    if ((flags & kDrives) != 0 && (flags & GPIO_V2_LINE_FLAG_OUTPUT) == 0) return false;
    return (flags & kBiases) == 0 || (flags & kDirections) != 0;
}

template <typename T, std::size_t N>
bool all_zero(const T (&padding)[N]) {
    return std::all_of(std::begin(padding), std::end(padding), [](T word) { return word == 0; });
}

bool good_attribute(const gpio_v2_line_attribute& attribute, std::uint64_t flags) {
    if (attribute.padding != 0) return false;
    switch (attribute.id) {
        case GPIO_V2_LINE_ATTR_ID_FLAGS:
            return good_flags(attribute.flags);
        case GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES:
            return (flags & GPIO_V2_LINE_FLAG_OUTPUT) != 0;
        case GPIO_V2_LINE_ATTR_ID_DEBOUNCE:
            return (flags & GPIO_V2_LINE_FLAG_INPUT) != 0;
        default:
            return false;
    }
}

/// After the comments of struct gpio_v2_line_request and what it holds; one line only, as we ask.
bool good_request(const gpio_v2_line_request& request, std::uint32_t lines) {
    const gpio_v2_line_config& config = request.config;
    if (request.num_lines != 1 || request.offsets[0] >= lines || !all_zero(request.padding)) return false;
    if (!all_zero(config.padding) || config.num_attrs > GPIO_V2_LINE_NUM_ATTRS_MAX) return false;
    if (!good_flags(config.flags)) return false;
    return std::all_of(config.attrs, config.attrs + config.num_attrs,
                       [&](const auto& one) { return good_attribute(one.attr, config.flags); });
}

const gpio_v2_line_attribute* attribute(const gpio_v2_line_config& config, std::uint32_t id) {
    for (std::uint32_t i = 0; i < config.num_attrs; ++i)
        if (config.attrs[i].attr.id == id && (config.attrs[i].mask & 1) != 0) return &config.attrs[i].attr;
    return nullptr;
}

std::pair<dev_t, ino_t> identity(int file) {
    struct ::stat state {};
    return ::fstat(file, &state) == 0 ? std::pair(state.st_dev, state.st_ino) : std::pair(dev_t{}, ino_t{});
}

struct Line {
    std::pair<dev_t, ino_t> pipe;
    int tell = -1;  ///< the pipe's other end
    gpio_v2_line_request request{};
    std::uint32_t events = 0;
    bool dead = false;

    bool active_low() const { return (request.config.flags & GPIO_V2_LINE_FLAG_ACTIVE_LOW) != 0; }
    bool output() const { return (request.config.flags & GPIO_V2_LINE_FLAG_OUTPUT) != 0; }
    bool released() const {
        pollfd other{tell, 0, 0};
        return ::poll(&other, 1, 0) > 0 && (other.revents & POLLERR) != 0;
    }
};

int refuse(int error) {
    errno = error;
    return -1;
}

}  // namespace

struct MadeGpioChip::Impl {
    std::string path;
    std::string label;
    std::uint32_t lines = 0;
    std::function<std::int64_t()> now_ms;

    std::pair<dev_t, ino_t> file;
    std::vector<Line> held;
    std::map<std::uint32_t, std::string> others;
    std::map<std::uint32_t, bool> levels;
    std::vector<Switched> switched;
    int debouncing_error = 0;
    int switching_error = 0;
    bool unplugged = false;

    void forget_released() {
        std::erase_if(held, [](const Line& line) {
            const bool gone = line.released();
            if (gone) ::close(line.tell);
            return gone;
        });
    }
    Line* holder(std::uint32_t offset) {
        forget_released();
        for (Line& line : held)
            if (!line.dead && line.request.offsets[0] == offset) return &line;
        return nullptr;
    }
    void put(std::uint32_t offset, bool level) {
        levels[offset] = level;
        switched.push_back({now_ms(), offset, level});
    }

    int chip_call(unsigned long call, void* with);
    int line_call(Line& line, unsigned long call, void* with);
    int give_line(gpio_v2_line_request& request);
    int tell_line(gpio_v2_line_info& info);
    static void push(Line& line, gpio_v2_line_event event);
};

namespace {

std::mutex mutex;
std::vector<MadeGpioChip::Impl*>& chips() {
    static std::vector<MadeGpioChip::Impl*> all;
    return all;
}

}  // namespace

int MadeGpioChip::Impl::chip_call(unsigned long call, void* with) {
    if (unplugged) return refuse(ENODEV);
    switch (call) {  // the number of a call holds the size of its structure
        case GPIO_GET_CHIPINFO_IOCTL: {
            gpiochip_info info{};
            std::strncpy(info.name, "gpiochip7", sizeof info.name - 1);
            std::strncpy(info.label, label.c_str(), sizeof info.label - 1);
            info.lines = lines;
            std::memcpy(with, &info, sizeof info);
            return 0;
        }
        case GPIO_V2_GET_LINEINFO_IOCTL:
            return tell_line(*static_cast<gpio_v2_line_info*>(with));
        case GPIO_V2_GET_LINE_IOCTL:
            return give_line(*static_cast<gpio_v2_line_request*>(with));
        default:
            return refuse(EINVAL);
    }
}

int MadeGpioChip::Impl::tell_line(gpio_v2_line_info& info) {
    if (info.offset >= lines || !all_zero(info.padding)) return refuse(EINVAL);
    const std::uint32_t offset = info.offset;
    info = {};
    info.offset = offset;
    const Line* const line = holder(offset);
    const auto other = others.find(offset);
    if (line != nullptr) std::memcpy(info.consumer, line->request.consumer, sizeof info.consumer);
    if (other != others.end()) std::strncpy(info.consumer, other->second.c_str(), sizeof info.consumer - 1);
    if (line != nullptr || other != others.end()) info.flags = GPIO_V2_LINE_FLAG_USED;
    return 0;
}

int MadeGpioChip::Impl::give_line(gpio_v2_line_request& request) {
    if (!good_request(request, lines)) return refuse(EINVAL);
    const std::uint32_t offset = request.offsets[0];
    if (holder(offset) != nullptr || others.contains(offset)) return refuse(EBUSY);
    if (debouncing_error != 0 && attribute(request.config, GPIO_V2_LINE_ATTR_ID_DEBOUNCE) != nullptr)
        return refuse(debouncing_error);
    std::array<int, 2> ends{};
    if (::pipe2(ends.data(), O_CLOEXEC) != 0) return -1;
    Line line;
    line.pipe = identity(ends[0]);
    line.tell = ends[1];
    line.request = request;
    if (line.output()) {
        const auto* values = attribute(request.config, GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES);
        const bool on = values != nullptr && (values->values & 1) != 0;
        put(offset, on != line.active_low());
    }
    held.push_back(line);
    request.fd = ends[0];
    return 0;
}

int MadeGpioChip::Impl::line_call(Line& line, unsigned long call, void* with) {
    if (unplugged || line.dead) return refuse(ENODEV);
    auto& values = *static_cast<gpio_v2_line_values*>(with);
    const std::uint32_t offset = line.request.offsets[0];
    if (call != GPIO_V2_LINE_GET_VALUES_IOCTL && call != GPIO_V2_LINE_SET_VALUES_IOCTL) return refuse(EINVAL);
    if ((values.mask & 1) == 0) return refuse(EINVAL);
    if (call == GPIO_V2_LINE_GET_VALUES_IOCTL) {
        values.bits = levels[offset] != line.active_low() ? 1 : 0;
        return 0;
    }
    if (!line.output()) return refuse(EPERM);
    if (switching_error != 0) return refuse(switching_error);
    put(offset, ((values.bits & 1) != 0) != line.active_low());
    return 0;
}

/// The newest are kept.
void MadeGpioChip::Impl::push(Line& line, gpio_v2_line_event event) {
    int waiting = 0;
    ::syscall(SYS_ioctl, line.tell, FIONREAD, &waiting);
    if (static_cast<std::size_t>(waiting) >= kKernelsEvents * sizeof event) {
        const std::string again = "/proc/self/fd/" + std::to_string(line.tell);
        const int end = ::open(again.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
        gpio_v2_line_event oldest{};
        [[maybe_unused]] const ssize_t lost = ::read(end, &oldest, sizeof oldest);
        ::close(end);
    }
    [[maybe_unused]] const ssize_t told = ::write(line.tell, &event, sizeof event);
}

MadeGpioChip::MadeGpioChip(std::string path, std::string label, std::uint32_t lines,
                           std::function<std::int64_t()> now_ms)
    : impl_(std::make_unique<Impl>()) {
    std::ofstream(path).close();
    const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    impl_->file = identity(file);
    ::close(file);
    impl_->path = std::move(path);
    impl_->label = std::move(label);
    impl_->lines = lines;
    impl_->now_ms = std::move(now_ms);
    const std::lock_guard lock(mutex);
    chips().push_back(impl_.get());
}

MadeGpioChip::~MadeGpioChip() {
    const std::lock_guard lock(mutex);
    std::erase(chips(), impl_.get());
    for (const Line& line : impl_->held) ::close(line.tell);
    ::unlink(impl_->path.c_str());
}

std::vector<MadeGpioChip::Switched> MadeGpioChip::switched() const {
    const std::lock_guard lock(mutex);
    return impl_->switched;
}

std::optional<gpio_v2_line_request> MadeGpioChip::held(std::uint32_t offset) const {
    const std::lock_guard lock(mutex);
    const Line* const line = impl_->holder(offset);
    return line != nullptr ? std::optional(line->request) : std::nullopt;
}

bool MadeGpioChip::level(std::uint32_t offset) const {
    const std::lock_guard lock(mutex);
    return impl_->levels[offset];
}

void MadeGpioChip::drive(std::uint32_t offset, bool level) {
    const std::lock_guard lock(mutex);
    if (impl_->levels[offset] == level) return;
    impl_->levels[offset] = level;
    Line* const line = impl_->holder(offset);
    if (line == nullptr) return;
    const bool rises = level != line->active_low();
    const std::uint64_t asked = rises ? GPIO_V2_LINE_FLAG_EDGE_RISING : GPIO_V2_LINE_FLAG_EDGE_FALLING;
    if ((line->request.config.flags & asked) == 0) return;
    gpio_v2_line_event event{};
    event.timestamp_ns = static_cast<std::uint64_t>(impl_->now_ms()) * 1'000'000;
    event.id = rises ? GPIO_V2_LINE_EVENT_RISING_EDGE : GPIO_V2_LINE_EVENT_FALLING_EDGE;
    event.offset = offset;
    event.seqno = ++line->events;
    event.line_seqno = event.seqno;
    Impl::push(*line, event);
}

void MadeGpioChip::hold(std::uint32_t offset, std::string consumer) {
    const std::lock_guard lock(mutex);
    impl_->others[offset] = std::move(consumer);
}

void MadeGpioChip::let_go(std::uint32_t offset) {
    const std::lock_guard lock(mutex);
    impl_->others.erase(offset);
}

void MadeGpioChip::refuse_debouncing(int error) {
    const std::lock_guard lock(mutex);
    impl_->debouncing_error = error;
}

void MadeGpioChip::refuse_switching(int error) {
    const std::lock_guard lock(mutex);
    impl_->switching_error = error;
}

void MadeGpioChip::unplug() {
    const std::lock_guard lock(mutex);
    impl_->unplugged = true;
    for (Line& line : impl_->held) line.dead = true;
}

void MadeGpioChip::plug_in() {
    const std::lock_guard lock(mutex);
    impl_->unplugged = false;
}

}  // namespace drumwatch

/// In place of the C library's.
extern "C" int ioctl(int file, unsigned long call, ...) noexcept {
    va_list more;
    va_start(more, call);
    void* const with = va_arg(more, void*);
    va_end(more);
    using namespace drumwatch;
    {
        const std::lock_guard lock(mutex);
        const auto asked = identity(file);
        for (MadeGpioChip::Impl* const chip : chips()) {
            if (chip->file == asked) return chip->chip_call(call, with);
            for (Line& line : chip->held)
                if (line.pipe == asked) return chip->line_call(line, call, with);
        }
    }
    return static_cast<int>(::syscall(SYS_ioctl, file, call, with));
}
