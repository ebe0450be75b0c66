// What can be wrong with a link or with one answer, as a value: counted by kind, said in words.
//
// PURE; any thread. The table in link_fault.cpp is complete or does not compile.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace drumwatch {

enum class LinkFault : std::uint8_t {
    none,
    not_open,          ///< the port or the connection cannot be opened
    gone,              ///< it was open and is lost: unplugged, closed, reset
    silent,            ///< no byte of an answer in time
    short_answer,      ///< an answer began and did not end in time
    bad_crc,           ///< Modbus RTU
    wrong_unit,        ///< another unit answered
    wrong_function,    ///< the answer to another function
    wrong_length,      ///< another number of values than was asked for, or an echo that differs
    wrong_question,    ///< Modbus TCP: another transaction or protocol
    late,              ///< an answer to a question that was given up; thrown away
    exception,         ///< the device refuses in good form
    swapped_words,     ///< absurd as configured, plausible in another word order
    no_number,         ///< NaN, infinity, or more than fits
    unreadable_field,  ///< a text field that is no number
    missing_field,     ///< a line without the channel's field or key
    wrong_field_count,
    bad_checksum,
    overlong_line,
    no_line,  ///< bytes come, but never a whole line
};
inline constexpr std::size_t kLinkFaults = 20;

/// A count for each kind, by its number.
using FaultCounts = std::array<std::uint32_t, kLinkFaults>;

/// Whether nothing that could be used came of a question: as if the device were not there.
constexpr bool is_no_answer(LinkFault fault) {
    return fault >= LinkFault::silent && fault <= LinkFault::late;
}

/// The word of the public interface, e.g. "bad_crc".
std::string_view name(LinkFault fault);
/// What it is, as a sentence.
std::string_view sentence(LinkFault fault);
/// What to look at first, as a sentence; empty for none.
std::string_view look_first(LinkFault fault);

}  // namespace drumwatch
