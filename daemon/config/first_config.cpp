#include "config/first_config.hpp"

#include <fmt/format.h>

namespace drumwatch {

namespace {

/// A JSON text (RFC 8259, section 7).
std::string quoted_json(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (static_cast<unsigned char>(c) < 0x20) {
            out += fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string bus(const FirstAnswers& answers) {
    if (!answers.host.empty()) {
        return fmt::format(
            "    // The controller or converter that answers on Modbus TCP. Drumwatch only reads from it.\n"
            "    {{ \"name\": \"machine\", \"kind\": \"modbus_tcp\", \"host\": {}, \"port\": {} }}",
            quoted_json(answers.host), answers.port);
    }
    return fmt::format(
        "    // The stable name in /dev/serial/by-id/ survives unplugging; the daemon's user must be in "
        "group dialout.\n"
        "    {{ \"name\": \"machine\", \"kind\": \"serial_text\", \"device\": {}, \"baud\": {} }}",
        quoted_json(answers.device), answers.baud);
}

std::string channel(const FirstAnswers& answers, const char* name, int place, bool temperature) {
    if (place < 0) return {};
    const std::string head = fmt::format("    {{ \"name\": \"{}\", \"bus\": \"machine\", \"unit\": {}, ",
                                         name, quoted_json(temperature ? answers.unit : "%"));
    if (answers.host.empty()) return head + fmt::format("\"text\": {{ \"field\": {} }} }}", place);
    return head +
           fmt::format(
               "\"scale\": {},\n      \"modbus\": {{ \"table\": \"{}\", \"address\": {}, \"unit_id\": {}, "
               "\"type\": \"{}\" }} }}",
               answers.scale, temperature ? "input" : "holding", place, answers.unit_id,
               temperature ? "int16" : "uint16");
}

std::string channels(const FirstAnswers& answers) {
    std::string list;
    for (const std::string& one :
         {channel(answers, "bean", answers.bean, true), channel(answers, "exhaust", answers.exhaust, true),
          channel(answers, "burner", answers.burner, false),
          channel(answers, "airflow", answers.airflow, false)}) {
        if (!one.empty()) list += (list.empty() ? "" : ",\n") + one;
    }
    return list;
}

std::string limiter(const FirstAnswers& answers) {
    if (answers.limiter_place.empty()) return "\"none stated\"";
    return fmt::format("{{ \"place\": {}, \"setting_c\": {} }}", quoted_json(answers.limiter_place),
                       answers.limiter_c);
}

}  // namespace

std::string first_config(const FirstAnswers& answers) {
    std::string text =
        "// Drumwatch watches and records. It is not burner management, not a high-limit control, not fire "
        "or gas\n"
        "// detection, and claims no risk reduction. What to do in heat, smoke, gas or fire is in the "
        "machine's manual,\n"
        "// the site's fire plan, local fire and gas codes, and with licensed technicians.\n"
        "// Every key is explained in drumwatch.json(5).  drumwatch check FILE  finds mistakes.\n{\n";
    text += fmt::format("  \"station\": {},\n", quoted_json(answers.station));
    if (!answers.machine.empty()) text += fmt::format("  \"machine\": {},\n", quoted_json(answers.machine));
    text += fmt::format("\n  \"buses\": [\n{}\n  ],\n",
                        answers.found_buses.empty() ? bus(answers) : answers.found_buses);
    text += fmt::format(
        "\n  // The bean probe must be there; what reads burner and airflow lets moves be judged by "
        "themselves.\n"
        "  \"channels\": [\n{}\n  ],\n",
        answers.found_channels.empty() ? channels(answers) : answers.found_channels);
    text += fmt::format(
        "\n  // The machine's independent high-limit control: where it measures and what it is set to.\n"
        "  \"limiter\": {},\n",
        limiter(answers));
    text += fmt::format(
        "\n  // Overtemperature at the bean probe, in °C: above any drop, below the limiter.\n"
        "  \"alarms\": {{ \"bean_high_high\": {{ \"limit_c\": {} }} }},\n",
        answers.limit_c);
    text += fmt::format("\n  \"record\": {{ \"path\": {} }},\n", quoted_json(answers.record));
    text +=
        "\n  // A loopback address is seen by this box only; tablets need the box's own address in a network "
        "of its own.\n";
    text += fmt::format("  \"web\": {{ \"host\": {}, \"port\": {} }},\n", quoted_json(answers.page_host),
                        answers.page_port);
    text +=
        "\n  // Curves to follow; roast one, then export it with its marks, and name the file here.\n  "
        "\"targets\": []\n}\n";
    return text;
}

}  // namespace drumwatch
