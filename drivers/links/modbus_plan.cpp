#include "drivers/links/modbus_plan.hpp"

#include <algorithm>
#include <tuple>

#include "drivers/links/modbus_frame.hpp"
#include "drivers/sensors/decode.hpp"

namespace drumwatch {
namespace {

constexpr std::uint32_t kWidest = 2;  ///< registers of a value

/// Items are sorted by where they begin, so only the last few can end last.
std::uint32_t end_of(const std::vector<ReadItem>& items) {
    std::uint32_t end = 0;
    for (auto item = items.rbegin(); item != items.rend() && item->address + kWidest > end; ++item)
        end = std::max(end, item->end());
    return end;
}

bool joins(const ReadGroup& group, const ReadGroup& next) {
    const ReadItem& item = next.items.front();
    const std::uint32_t end = std::max(end_of(group.items), item.end());
    return group.unit_id == next.unit_id && group.table == next.table &&
           item.address <= end_of(group.items) + kMaxGap &&
           end - group.items.front().address <= kMaxRegistersPerRead;
}

/// A group of one for every value, sorted by where it stands.
std::vector<ReadGroup> single_reads(const BusConfig& bus) {
    std::vector<ReadGroup> singles;
    for (std::size_t i = 0; i < bus.channels.size(); ++i) {
        if (!bus.channels[i].modbus) continue;
        const ModbusSource& source = *bus.channels[i].modbus;
        singles.push_back(
            {source.unit_id, source.table, {{source.address, register_count(source.type), i, std::nullopt}}});
    }
    for (std::size_t i = 0; i < bus.discrete_inputs.size(); ++i) {
        const DiscreteInput& input = bus.discrete_inputs[i];
        singles.push_back({input.unit_id, RegisterTable::discrete, {{input.address, 1, std::nullopt, i}}});
    }
    if (bus.time_register)
        singles.push_back(
            {own_unit(bus), RegisterTable::holding, {{*bus.time_register, 2, std::nullopt, std::nullopt}}});
    const auto place = [](const ReadGroup& g) {
        return std::tuple(g.unit_id, g.table, g.items.front().address);
    };
    std::stable_sort(singles.begin(), singles.end(),
                     [&](const ReadGroup& a, const ReadGroup& b) { return place(a) < place(b); });
    return singles;
}

std::size_t place_to_split(const std::vector<ReadItem>& items) {
    std::size_t best = items.size() / 2;
    std::uint32_t widest = 0;
    std::uint32_t end = items.front().end();
    for (std::size_t i = 1; i < items.size(); ++i) {
        if (items[i].address > end && items[i].address - end > widest) {
            widest = items[i].address - end;
            best = i;
        }
        end = std::max(end, items[i].end());
    }
    return best;
}

}  // namespace

std::uint16_t ReadGroup::address() const { return static_cast<std::uint16_t>(items.front().address); }
std::uint16_t ReadGroup::count() const {
    return static_cast<std::uint16_t>(end_of(items) - items.front().address);
}
bool ReadGroup::has_time() const {
    return std::any_of(items.begin(), items.end(), [](const ReadItem& item) { return item.is_time(); });
}

std::uint8_t own_unit(const BusConfig& bus) {
    for (const ChannelSource& channel : bus.channels)
        if (channel.modbus) return channel.modbus->unit_id;
    return 1;
}

std::vector<ReadGroup> plan_reads(const BusConfig& bus) {
    std::vector<ReadGroup> groups;
    for (ReadGroup& single : single_reads(bus)) {
        if (!groups.empty() && joins(groups.back(), single))
            groups.back().items.push_back(single.items.front());
        else
            groups.push_back(std::move(single));
    }
    std::stable_partition(groups.begin(), groups.end(), [](const ReadGroup& g) { return !g.has_time(); });
    return groups;
}

std::optional<std::pair<ReadGroup, ReadGroup>> split(const ReadGroup& group) {
    if (group.items.size() < 2) return std::nullopt;
    const auto middle = group.items.begin() + static_cast<std::ptrdiff_t>(place_to_split(group.items));
    ReadGroup first{group.unit_id, group.table, {group.items.begin(), middle}};
    ReadGroup second{group.unit_id, group.table, {middle, group.items.end()}};
    if (first.has_time()) std::swap(first, second);
    return std::pair(std::move(first), std::move(second));
}

}  // namespace drumwatch
