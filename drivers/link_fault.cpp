#include "drivers/link_fault.hpp"

namespace drumwatch {
namespace {

struct Row {
    LinkFault fault;
    std::string_view name;
    std::string_view sentence;
    std::string_view look_first;
};

constexpr std::array<Row, kLinkFaults> kTable{{
    {LinkFault::none, "none", "Nothing is wrong.", ""},
    {LinkFault::not_open, "not_open", "The port or connection can't be opened.",
     "Is the device on and plugged in, and is the name, address or port in the configuration right?"},
    {LinkFault::gone, "gone", "The port or connection was lost.",
     "Is the adapter or network cable still plugged in, at both ends?"},
    {LinkFault::silent, "silent", "The device does not answer.",
     "Does it have power, are both wires of the pair on the right terminals, and are unit_id, baud and "
     "parity "
     "those of its manual?"},
    {LinkFault::short_answer, "short_answer", "An answer began and did not end in time.",
     "Is timeout_ms long enough for this device and baud rate, and does the cable hold when it is moved?"},
    {LinkFault::bad_crc, "bad_crc", "An answer came with a wrong checksum: bytes were changed on the way.",
     "Do baud, parity and stop_bits agree with the device, is the pair terminated, and does the cable run "
     "beside motor or burner wiring?"},
    {LinkFault::wrong_unit, "wrong_unit", "Another unit answered than the one that was asked.",
     "Do two devices have the same address, or does another program ask on the same bus?"},
    {LinkFault::wrong_function, "wrong_function", "The answer belongs to another kind of question.",
     "Does another program ask on the same bus?"},
    {LinkFault::wrong_length, "wrong_length", "The answer has another number of values than was asked for.",
     "Does the device's manual state these registers, and does another program ask on the same bus?"},
    {LinkFault::wrong_question, "wrong_question", "The answer belongs to another question.",
     "Is timeout_ms long enough for this device or gateway?"},
    {LinkFault::late, "late", "An answer came after its time and was thrown away.",
     "Raise timeout_ms for this unit, or pause_ms if it needs rest between questions."},
    {LinkFault::exception, "exception", "The device refuses the question.",
     "Are table, address and type of the channel those of the device's manual, counted from 0?"},
    {LinkFault::swapped_words, "swapped_words",
     "The value is absurd as configured and plausible in another word order.",
     "Is \"order\" of the channel the one that the device uses?"},
    {LinkFault::no_number, "no_number", "The registers hold no number that can be shown.",
     "Are address, type and order of the channel right? Many devices send this for an open probe."},
    {LinkFault::unreadable_field, "unreadable_field", "The field of the line is no number.",
     "Are field or key, decimal, suffix and open_text those that the device prints?"},
    {LinkFault::missing_field, "missing_field", "The line does not have the channel's field.",
     "Are delimiter and field or key those that the device prints?"},
    {LinkFault::wrong_field_count, "wrong_field_count", "The line has another number of fields than stated.",
     "Was the line cut? If every line is so, fields in the configuration is wrong."},
    {LinkFault::bad_checksum, "bad_checksum", "The line's checksum is missing or wrong.",
     "Is checksum the kind that the device sends? If only some lines fail, look at cable and baud."},
    {LinkFault::overlong_line, "overlong_line", "A line was longer than any that is read.",
     "Do baud and parity agree with the device, and does it send line ends?"},
    {LinkFault::no_line, "no_line", "Bytes come, but no whole line.",
     "Do baud and parity agree with the device, and does it send line ends?"},
}};

constexpr bool complete() {
    for (std::size_t i = 0; i < kTable.size(); ++i) {
        const Row& row = kTable[i];
        if (static_cast<std::size_t>(row.fault) != i || row.name.empty() || row.sentence.empty())
            return false;
        if (row.look_first.empty() != (row.fault == LinkFault::none)) return false;
    }
    return static_cast<std::size_t>(LinkFault::no_line) + 1 == kLinkFaults;
}
static_assert(complete(), "every kind of fault has its row, in the order of the enumeration, with all words");

const Row& row_of(LinkFault fault) { return kTable[static_cast<std::size_t>(fault)]; }

}  // namespace

std::string_view name(LinkFault fault) { return row_of(fault).name; }
std::string_view sentence(LinkFault fault) { return row_of(fault).sentence; }
std::string_view look_first(LinkFault fault) { return row_of(fault).look_first; }

}  // namespace drumwatch
