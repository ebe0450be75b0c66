// Roast files: RFC 4180, the columns' meaning, what is kept and what is refused.
#include <doctest/doctest.h>
#include <zlib.h>

#include <chrono>
#include <clocale>
#include <locale>
#include <string>

#include "files/roast_csv.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;

namespace {

RoastFile right(const std::string& text) {
    auto file = parse_roast_csv(text);
    REQUIRE_MESSAGE(file.ok(), file.error());
    return file.value();
}

std::string wrong(const std::string& text) {
    const auto file = parse_roast_csv(text);
    REQUIRE(!file.ok());
    return file.error();
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// Everything that a file holds but its warnings, for comparing.
std::string everything(const RoastFile& file) {
    std::string out;
    for (const Channel& c : file.channels) {
        out += c.name + "/" + std::string(name(c.role)) + "/" + std::string(suffix(c.unit)) + " ";
    }
    for (const std::string& column : file.unknown_columns) out += "[" + column + "]";
    for (const RoastRow& row : file.rows) {
        out += "\n" + std::to_string(row.elapsed_ms);
        for (const auto& value : row.values) out += value ? " " + std::to_string(*value) : " -";
        if (row.mark) out += " " + std::string(name(*row.mark));
    }
    for (const auto& cells : file.unknown_cells) {
        out += "\n";
        for (const std::string& cell : cells) out += "<" + cell + ">";
    }
    return out;
}

std::string pack(const std::string& text, int level = 6) {
    z_stream stream{};
    REQUIRE(deflateInit2(&stream, level, Z_DEFLATED, 16 + MAX_WBITS, 8, Z_DEFAULT_STRATEGY) == Z_OK);
    std::string out(deflateBound(&stream, static_cast<uLong>(text.size())), '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
    stream.avail_in = static_cast<uInt>(text.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    REQUIRE(deflate(&stream, Z_FINISH) == Z_STREAM_END);
    out.resize(stream.total_out);
    deflateEnd(&stream);
    return out;
}

const char* const kPlain =
    "elapsed_s,bean_c,exhaust_f,burner_pct,mark,note\n"
    "0,195,392,80,charge,\n"
    "0.25,194.5,,80,,\"a, b\"\n"
    "1.5,-3.125,212,,first_crack,\"say \"\"now\"\"\nagain\"\n";

}  // namespace

TEST_CASE("roast csv: columns, units, marks, gaps and unknown cells are read") {
    const RoastFile file = right(kPlain);
    CHECK(everything(file) ==
          "bean/bean/c exhaust/exhaust/c burner/burner/pct [note]\n"
          "0 195000 200000 80000 charge\n"
          "250 194500 - 80000\n"
          "1500 -3125 100000 - first_crack\n"
          "<>\n<a, b>\n<say \"now\"\nagain>");
    CHECK(file.warnings.empty());
}

TEST_CASE("roast csv: line ends, byte order mark, blank lines and a missing last line end change nothing") {
    const std::string want = everything(right("elapsed_s,bean_c\n0,1\n1,2\n"));
    for (const char* text : {"elapsed_s,bean_c\r\n0,1\r\n1,2\r\n",
                             "\xEF\xBB\xBF"
                             "elapsed_s,bean_c\n0,1\n1,2",
                             "\n\nelapsed_s, bean_c \n\n0, 1\n\n1,+2 \n\n",
                             "\"elapsed_s\",\"bean_c\"\r\n\"0\",\"1\"\r\n1,\"2\""}) {
        CHECK_MESSAGE(everything(right(text)) == want, text);
        CHECK(right(text).warnings.empty());
    }
}

TEST_CASE("roast csv: RFC 4180 section 2 by its own examples") {
    // RFC 4180, section 2, rules 5 to 7: quoted cells, a line break inside one, a doubled quote.
    const RoastFile file = right(
        "elapsed_s,bean_c,x,y,z\r\n0,1,\"aaa\",\"b \r\nbb\",ccc\r\n1,1,\"aaa\",\"b\"\"bb\",\"ccc\"\r\n");
    CHECK(file.unknown_cells[0] == std::vector<std::string>{"aaa", "b \r\nbb", "ccc"});
    CHECK(file.unknown_cells[1] == std::vector<std::string>{"aaa", "b\"bb", "ccc"});
}

TEST_CASE("roast csv: writing is the inverse of reading") {
    for (const char* text : {kPlain, "elapsed_s,bean_c\n0,\n",
                             "elapsed_s,drum_rpm,drum_c,bean_f,burner,gas_kpa,carbon_monoxide_ppm,weight_"
                             "g\n0,52.5,1,2,3,4,5,6\n",
                             "elapsed_s,bean_c,,\"a\"\"b\"\n0,1,\"\",\"x\ry\"\n",
                             "elapsed_s,bean_c,bean_pct\n0,0.001,1\n0,-0.001,2\n1e1,-2147483.647,3\n"}) {
        const RoastFile once = right(text);
        const std::string written = write_roast_csv(once);
        const RoastFile twice = right(written);
        CHECK(everything(twice) == everything(once));
        CHECK(twice.warnings.empty());
        CHECK(write_roast_csv(twice) == written);
    }
    CHECK(write_roast_csv(right("mark,bean_c,elapsed_s\ncharge,1.5,0\n")) ==
          "elapsed_s,bean_c,mark\r\n0,1.5,charge\r\n");
}

TEST_CASE("roast csv: the drum's speed and the drum's metal are two channels") {
    const RoastFile file = right("elapsed_s,bean_c,drum_c,drum_rpm\n0,1,2,3\n");
    REQUIRE(file.channels.size() == 3);
    CHECK(file.channels[1].role == Role::drum);
    CHECK(file.channels[2].role == Role::drum_speed);
    CHECK(file.channels[2].name == "drum_speed");
    CHECK(file.channels[2].unit == Unit::rpm);
}

TEST_CASE("roast csv: a column whose unit can't be meant is kept and not followed, wherever it stands") {
    for (const char* text :
         {"elapsed_s,bean_pct,bean_c\n0,7,190\n", "elapsed_s,bean_c,bean_pct\n0,190,7\n"}) {
        CHECK(everything(right(text)) == "bean/bean/c [bean_pct]\n0 190000\n<7>");
    }
    // Two units of one control: the first is followed.
    CHECK(everything(right("elapsed_s,bean_c,burner_pct,burner_kpa\n0,190,70,2.1\n")) ==
          "bean/bean/c burner/burner/pct [burner_kpa]\n0 190000 70000\n<2.1>");
}

TEST_CASE("roast csv: bad input that keeps its gap is read with a warning that names the row") {
    struct Row {
        const char* what;
        const char* cell;
    };
    for (const Row& row :
         {Row{"text", "n/a"}, Row{"NaN", "nan"}, Row{"infinity", "-inf"}, Row{"too large", "1e300"},
          Row{"hexadecimal", "0x10"}, Row{"decimal comma", "\"187,4\""}, Row{"unit", "187.4 C"},
          Row{"two signs", "+-1"}, Row{"beyond thousandths", "2147484"}}) {
        const RoastFile file = right("elapsed_s,bean_c\n0,190\n1," + std::string(row.cell) + "\n2,191\n");
        REQUIRE(file.rows.size() == 3);
        CHECK_MESSAGE(!file.rows[1].values[0], row.what);
        REQUIRE_MESSAGE(file.warnings.size() == 1, row.what);
        CHECK(has(file.warnings[0], "row 3: bean_c is not a number ("));
        CHECK(has(file.warnings[0], "read as missing"));
    }
    const RoastFile mark = right("elapsed_s,bean_c,mark\n0,190,crack\n");
    CHECK(!mark.rows[0].mark);
    CHECK(has(mark.warnings[0], "row 2: mark \"crack\" is none of charge, "));
    const RoastFile narrow = right("elapsed_s,bean_c,exhaust_c\n0,190\n1,191,200\n");
    CHECK(!narrow.rows[0].values[1]);
    CHECK(has(narrow.warnings[0], "row 2: 2 cells under 3 columns"));
    const RoastFile cut = right("elapsed_s,bean_c,exhaust_c\n0,190,200\n1,19");
    CHECK(cut.rows.size() == 1);
    CHECK(has(cut.warnings[0], "row 3: cut short"));
    const RoastFile late = right("elapsed_s,bean_c\n100.5,190\n101,191\n");
    CHECK(late.rows[0].elapsed_ms == 0);
    CHECK(late.rows[1].elapsed_ms == 500);
    CHECK(has(late.warnings[0], "elapsed_s begins at 100.5"));
    CHECK(right("elapsed_s,bean_c\n0.1,190\n1,191\n").warnings.empty());
}

TEST_CASE(
    "roast csv: degrees Fahrenheit under a header of Celsius are told from a hot drum and an open probe") {
    const auto warnings = [](double first, double rises) {
        std::string text = "elapsed_s,bean_c\n";
        for (int i = 0; i < 60; ++i)
            text += std::to_string(i) + "," + std::to_string(first + rises * i) + "\n";
        return right(text).warnings;
    };
    REQUIRE(warnings(250, 2.5).size() == 1);
    CHECK(has(warnings(250, 2.5)[0], "398 \u00b0C: this looks like degrees Fahrenheit; the column's name"));
    CHECK(warnings(150, 1.2).empty());
    CHECK(warnings(1370, 0).empty());
}

TEST_CASE("roast csv: bad input that can't be trusted is refused with the row") {
    struct Row {
        std::string text;
        const char* says;
    };
    const Row rows[] = {
        {"", "the file is empty"},
        {"\xEF\xBB\xBF", "the file is empty"},
        {"\n\r\n\n", "the file is empty"},
        {"elapsed_s,bean_c\n", "no row of readings"},
        {"time,bean_c\n0,1\n", "row 1: no column \"elapsed_s\""},
        {"elapsed_s,exhaust_c\n0,1\n", "row 1: no bean temperature, \"bean_c\" or \"bean_f\""},
        {"elapsed_s,bean_pct\n0,1\n", "row 1: no bean temperature"},
        {"elapsed_s,bean_c\n-1e8,1\n1e8,1\n", "row 3: elapsed_s is more than three weeks after"},
        {"elapsed_s;bean_c\n0;1\n", "semicolons"},
        {"elapsed_s,bean_c,bean_c\n0,1,1\n", "row 1: two columns are called \"bean_c\""},
        {"elapsed_s,bean_c,bean_f\n0,1,1\n", "row 1: \"bean_f\" gives bean a second time"},
        {"elapsed_s,bean_c\n0,190\n2,191\n1.5,192\n", "row 4: time goes back: elapsed_s is 1.5 after 2"},
        {"elapsed_s,bean_c\n0,190\n,191\n", "row 3: elapsed_s is \"\""},
        {"elapsed_s,bean_c\n0,190\nnan,191\n", "row 3: elapsed_s is \"nan\""},
        {"elapsed_s,bean_c\n0,190\n0:01,191\n", "row 3: elapsed_s is \"0:01\""},
        {"elapsed_s,bean_c\n0,190\n1e99,191\n", "row 3: elapsed_s is \"1e99\""},
        {"elapsed_s,bean_c\n0,190\n1,187,4\n", "row 3: 3 cells under 2 columns (a decimal comma?"},
        {"elapsed_s,bean_c\n0,\"190\n", "row 2: a quoted cell that never ends"},
        {"elapsed_s,bean_c\n0,\"190\"x\n", "row 2: text after the closing quote"},
        {"elapsed_s,bean_c\n0,19\"0\n", "row 2: a quote inside a cell"},
        {std::string("elapsed_s,bean_c\n0,1\0\n", 22), "NUL byte"},
        {"\xFF\xFE"
         "e,l",
         "UTF-16"},
        {"elapsed_s,bean_c" + std::string(2000, ',') + "\n", "more than 1024 cells"},
    };
    for (const Row& row : rows)
        CHECK_MESSAGE(has(wrong(row.text), row.says), row.says, " / ", wrong(row.text));
}

TEST_CASE("roast csv: warnings are capped and the rest counted") {
    std::string text = "elapsed_s,bean_c\n";
    for (int i = 0; i < 200; ++i) text += std::to_string(i) + ",x\n";
    const RoastFile file = right(text);
    CHECK(file.rows.size() == 200);
    REQUIRE(file.warnings.size() == 51);
    CHECK(file.warnings.back() == "and 150 more");
}

TEST_CASE("roast csv: a mark that is there twice and rows too far apart are said") {
    const auto rows = [](double step, const std::string& marks_at_30 = "",
                         const std::string& marks_at_35 = "") {
        std::string text = "elapsed_s,bean_c,mark\n";
        for (int i = 0; i < 40; ++i) {
            text += std::to_string(i * step) + ",150," +
                    (i == 30   ? marks_at_30
                     : i == 35 ? marks_at_35
                               : "") +
                    "\n";
        }
        return right(text).warnings;
    };
    CHECK(rows(1).empty());
    CHECK(rows(3).empty());
    REQUIRE(rows(5).size() == 1);
    CHECK(rows(5)[0] == "rows are 5 s apart: too few to find charge and drop by; mark both in the file");
    REQUIRE(rows(250).size() == 1);
    CHECK(has(rows(250)[0], "looks like milliseconds"));
    REQUIRE(rows(2, "first_crack", "first_crack").size() == 1);
    CHECK(rows(2, "first_crack", "first_crack")[0] ==
          "first_crack is marked twice, at 60 s and at 70 s: the later one counts");
    CHECK(rows(2, "yellow", "first_crack").empty());
    CHECK(rows(2, "drop", "charge").empty());
}

TEST_CASE("roast csv: the seventeenth channel is kept as an unknown column") {
    std::string header = "elapsed_s,bean_c";
    std::string row = "0,1";
    for (int i = 2; i <= 17; ++i) {
        header += ",probe" + std::to_string(i) + "_c";
        row += "," + std::to_string(i);
    }
    const RoastFile file = right(header + "\n" + row + "\n");
    CHECK(file.channels.size() == kMaxChannels);
    CHECK(file.unknown_columns == std::vector<std::string>{"probe17_c"});
    CHECK(file.unknown_cells[0] == std::vector<std::string>{"17"});
    CHECK(has(file.warnings[0], "one channel too many"));
    CHECK(everything(right(write_roast_csv(file))) == everything(file));
}

TEST_CASE("roast csv: a million rows are read whole") {
    std::string text = "elapsed_s,bean_c,exhaust_c,mark\n";
    text.reserve(32'000'000);
    for (int i = 0; i < 1'000'000; ++i)
        text += std::to_string(i / 4) + "." + std::to_string(i % 4 * 25) + ",187.4,221.0,\n";
    const auto start = std::chrono::steady_clock::now();
    const RoastFile file = right(text);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    CHECK(file.rows.size() == 1'000'000);
    CHECK(file.rows.back().elapsed_ms == 249'999'750);
    CHECK(file.rows[999'999].values[1] == 221'000);
    MESSAGE("a million rows took ", took.count(), " s");
}

TEST_CASE("roast csv: gzip is unpacked, several members too, and limits hold") {
    const Scratch scratch;
    const auto plain = read_roast_csv(scratch.write("a.csv", kPlain));
    REQUIRE(plain.ok());
    const auto packed = read_roast_csv(scratch.write("a.csv.gz", pack(kPlain)));
    REQUIRE_MESSAGE(packed.ok(), packed.error());
    CHECK(everything(packed.value()) == everything(plain.value()));
    const std::string text = kPlain;
    const auto members =
        read_roast_csv(scratch.write("b.csv.gz", pack(text.substr(0, 60)) + pack(text.substr(60))));
    REQUIRE_MESSAGE(members.ok(), members.error());
    CHECK(everything(members.value()) == everything(plain.value()));
}

TEST_CASE("roast csv: damaged, cut and hostile files are refused with the file's name") {
    const Scratch scratch;
    const std::string packed = pack(kPlain);
    const auto says = [&](const std::string& file_name, const std::string& bytes) {
        const auto file = read_roast_csv(scratch.write(file_name, bytes));
        REQUIRE(!file.ok());
        CHECK(has(file.error(), scratch.path(file_name) + ": "));
        return file.error();
    };
    for (std::size_t keep = 2; keep < packed.size(); ++keep) {
        CHECK(has(says("cut.csv.gz", packed.substr(0, keep)), "gzip: the file is cut short"));
    }
    std::string flipped = packed;
    flipped[flipped.size() - 6] ^= 1;  // inside the CRC-32 of RFC 1952, section 2.3.1
    CHECK(has(says("crc.csv.gz", flipped), "gzip: the file is damaged"));
    CHECK(has(says("tail.csv.gz", packed + "tail"), "gzip: the file is damaged"));
    CHECK(has(says("plain.csv.gz", kPlain), "named .gz, but it is not gzip"));
    CHECK(has(says("bomb.csv.gz", pack("elapsed_s,bean_c\n" + std::string(300'000'000, '0'), 1)),
              "unpacks to more than 256 MiB"));
    CHECK(has(read_roast_csv(scratch.path("none.csv")).error(), "there is no such file"));
    CHECK(has(read_roast_csv(scratch.path("")).error(), "this is a folder"));
    CHECK(has(read_roast_csv("/dev/zero").error(), "not a regular file"));
}

namespace {

/// What a stream writes and reads where people use a decimal comma and group digits.
class CommaPunctuation : public std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
};

}  // namespace

TEST_CASE("roast csv: the locale changes nothing") {
    const char* const text = "elapsed_s,bean_c\n0,1234.5\n2500.25,-0.125\n";
    const std::string want = write_roast_csv(right(text));
    const std::string warning = right("elapsed_s,bean_c\n1234.5,1\n").warnings.at(0);
    const std::locale before = std::locale::global(std::locale(std::locale(), new CommaPunctuation));
    std::setlocale(LC_ALL, "de_DE.UTF-8");  // where it is installed
    const std::string got = write_roast_csv(right(text));
    const std::string got_warning = right("elapsed_s,bean_c\n1234.5,1\n").warnings.at(0);
    std::locale::global(before);
    std::setlocale(LC_ALL, "C");
    CHECK(got == want);
    CHECK(got_warning == warning);
}
