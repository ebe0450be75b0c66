// The site's reminders of care for the machine.
#include <fmt/format.h>

#include <algorithm>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMostReminders = 24;

struct Counted {
    std::string_view key;
    ReminderUnit unit;
    NumberRange range;
};
constexpr Counted kCounted[] = {{"every_batches", ReminderUnit::batches, {1, 100'000, "batches"}},
                                {"every_kg", ReminderUnit::kilograms, {0.1, 10'000'000, "kg"}},
                                {"every_hours", ReminderUnit::hours, {0.1, 100'000, "h"}}};

void read_every(JsonObject& object, ReminderConfig& reminder) {
    const auto given = std::count_if(std::begin(kCounted), std::end(kCounted),
                                     [&](const Counted& counted) { return object.has(counted.key); });
    if (given != 1)
        return object.complain_here(
            "give one of \"every_batches\", \"every_kg\" (charged) and \"every_hours\" (of roasting)");
    for (const Counted& counted : kCounted) {
        if (!object.has(counted.key)) continue;
        reminder.unit = counted.unit;
        if (counted.unit != ReminderUnit::batches) {
            object.read(counted.key, reminder.every, counted.range);
            continue;
        }
        std::int64_t batches = 0;
        if (object.read(counted.key, batches, counted.range)) reminder.every = static_cast<double>(batches);
    }
}

void read_reminder(JsonObject& object, Config& config) {
    ReminderConfig reminder;
    object.read("name", reminder.name, 80);
    read_every(object, reminder);
    const auto same = [&](const ReminderConfig& other) { return other.name == reminder.name; };
    if (!reminder.name.empty() && std::any_of(config.reminders.begin(), config.reminders.end(), same))
        object.complain("name", fmt::format("another reminder is called {} already", quoted(reminder.name)));
    config.reminders.push_back(std::move(reminder));
}

}  // namespace

void read_reminders(JsonObject& root, Config& config) {
    const auto items = root.list("reminders", 0, kMostReminders);
    for (std::size_t i = 0; i < items.size(); ++i) {
        JsonObject object(items[i], pointer_to(root.pointer("reminders"), i), kReminderKeys, root.mistakes());
        read_reminder(object, config);
    }
}

}  // namespace drumwatch
