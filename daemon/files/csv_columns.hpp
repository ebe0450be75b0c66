// What the columns of a roast CSV mean, decided from the header row alone.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/channel.hpp"
#include "core/result.hpp"

namespace drumwatch {

enum class ColumnKind : std::uint8_t { elapsed, mark, channel, unknown };

struct Column {
    std::string name;  ///< as in the header
    ColumnKind kind = ColumnKind::unknown;
    std::size_t channel = 0;  ///< of `channel`
    bool fahrenheit = false;
};

struct Columns {
    std::vector<Column> columns;
    ChannelTable channels;
    std::vector<std::string> left_over;  ///< channels beyond kMaxChannels, kept as unknown
};

/// Refuses a header without elapsed_s or a bean temperature, a column that is there twice, a channel that two
/// columns give.
Result<Columns> read_columns(const std::vector<std::string_view>& header);

/// "bean_c"; "drum_rpm" for the drum's speed.
std::string column_name(const Channel& channel);

}  // namespace drumwatch
