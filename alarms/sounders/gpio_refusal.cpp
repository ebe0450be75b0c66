#include "sounders/gpio_refusal.hpp"

#include <fmt/format.h>
#include <grp.h>
#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <vector>

namespace drumwatch {

namespace {

std::string chips_here() {
    std::vector<std::string> chips;
    std::error_code error;
    for (std::filesystem::directory_iterator entry("/dev", error), end; !error && entry != end;
         entry.increment(error)) {
        const std::string name = entry->path().filename();
        if (name.starts_with("gpiochip")) chips.push_back(entry->path());
    }
    if (chips.empty()) return "this box shows none at all";
    std::sort(chips.begin(), chips.end());
    return fmt::format("here are {}", fmt::join(chips, ", "));
}

std::string group_name(gid_t group) {
    std::array<char, 4096> room{};
    ::group entry{};
    ::group* found = nullptr;
    if (::getgrgid_r(group, &entry, room.data(), room.size(), &found) == 0 && found != nullptr)
        return found->gr_name;
    return fmt::format("{}", group);
}

std::string who_may(const std::string& chip) {
    struct ::stat state {};
    constexpr mode_t kGroupMay = S_IRGRP | S_IWGRP;
    if (::stat(chip.c_str(), &state) == 0 && state.st_gid != 0 && (state.st_mode & kGroupMay) == kGroupMay)
        return fmt::format("add the user that drumwatch runs as to the group {}", group_name(state.st_gid));
    return "give it to a group by a udev rule (SUBSYSTEM==\"gpio\", GROUP=\"gpio\", MODE=\"0660\") and add "
           "the "
           "user that drumwatch runs as to that group";
}

std::string with_label(const std::string& chip, const std::string& label) {
    return label.empty() ? chip : fmt::format("{} ({})", chip, label);
}

}  // namespace

Error chip_not_opened(const std::string& chip, int error) {
    switch (error) {
        case ENOENT:
            return {fmt::format("there is no GPIO chip {}: {}", chip, chips_here())};
        case EACCES:
            return {fmt::format("no permission for {}: {}", chip, who_may(chip))};
        case EPERM:
            return {
                fmt::format("the service is kept away from {}: allow it by a drop-in with "
                            "DeviceAllow=char-gpiochip rw",
                            chip)};
        default:
            return {fmt::format("cannot open {}: {}", chip, std::strerror(error))};
    }
}

Error no_gpio_chip(const std::string& chip, int error) {
    if (error == ENODEV) return {fmt::format("{} is gone: plug it in again", chip)};
    return {fmt::format("{} is no GPIO chip ({}): {}", chip, std::strerror(error), chips_here())};
}

Error no_such_line(const GpioPlace& place, const std::string& label, std::uint32_t lines) {
    const std::string chip = with_label(place.chip, label);
    if (lines == 0) return {fmt::format("{} has no lines", chip)};
    return {fmt::format("{} has the lines 0 to {}, but no line {}", chip, lines - 1, place.offset)};
}

Error line_in_use(const GpioPlace& place, const std::string& label, const std::string& consumer) {
    const std::string who = consumer.empty() ? "something that gives no name" : "\"" + consumer + "\"";
    return {fmt::format("line {} of {} is used by {}: end that, or choose another line", place.offset,
                        with_label(place.chip, label), who)};
}

Error line_refused(const GpioPlace& place, const std::string& label, int error) {
    const std::string line = fmt::format("line {} of {}", place.offset, with_label(place.chip, label));
    switch (error) {
        case ENODEV:
            return {fmt::format("{} is gone with its chip: plug it in again", line)};
        case ENOTTY:
        case EINVAL:
            return {fmt::format(
                "the kernel refuses {}: it must be 5.10 or newer, and the chip must be able to do "
                "what is asked of the line",
                line)};
        default:
            return {fmt::format("cannot have {}: {}", line, std::strerror(error))};
    }
}

}  // namespace drumwatch
