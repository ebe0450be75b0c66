// The published coefficients of types R, S and B, digit for digit: G. W. Burns et al., NIST Monograph 175
// (1993), as reproduced by NIST Standard Reference Database 60. tests/reference/thermocouple/ holds them
// against its copy of the source. For thermocouple.cpp and its tests only.
#pragma once

#include <tuple>

#include "drivers/sensors/thermocouple_pieces.hpp"

namespace drumwatch {

struct TypeR {
    static constexpr char letter = 'R';
    static constexpr std::array direct0{0.000000000000,     0.528961729765e-2,   0.139166589782e-4,
                                        -0.238855693017e-7, 0.356916001063e-10,  -0.462347666298e-13,
                                        0.500777441034e-16, -0.373105886191e-19, 0.157716482367e-22,
                                        -0.281038625251e-26};
    static constexpr std::array direct1{0.295157925316e1,   -0.252061251332e-2, 0.159564501865e-4,
                                        -0.764085947576e-8, 0.205305291024e-11, -0.293359668173e-15};
    static constexpr std::array direct2{0.152232118209e3, -0.268819888545, 0.171280280471e-3,
                                        -0.345895706453e-7, -0.934633971046e-14};
    static constexpr std::tuple direct{ThermocouplePiece{-50, 1064.18, direct0},
                                       ThermocouplePiece{1064.18, 1664.5, direct1},
                                       ThermocouplePiece{1664.5, 1768.1, direct2}};
    static constexpr std::array inverse0{0.0000000,    1.8891380e2, -9.3835290e1, 1.3068619e2,
                                         -2.2703580e2, 3.5145659e2, -3.8953900e2, 2.8239471e2,
                                         -1.2607281e2, 3.1353611e1, -3.3187769};
    static constexpr std::array inverse1{1.334584505e1,   1.472644573e2,  -1.844024844e1,  4.031129726,
                                         -6.249428360e-1, 6.468412046e-2, -4.458750426e-3, 1.994710149e-4,
                                         -5.313401790e-6, 6.481976217e-8};
    static constexpr std::array inverse2{-8.199599416e1, 1.553962042e2,   -8.342197663,
                                         4.279433549e-1, -1.191577910e-2, 1.492290091e-4};
    static constexpr std::array inverse3{3.406177836e4, -7.023729171e3, 5.582903813e2, -1.952394635e1,
                                         2.560740231e-1};
    static constexpr std::tuple inverse{ThermocouplePiece{-0.226, 1.923, inverse0, 0.012},
                                        ThermocouplePiece{1.923, 13.228, inverse1, 0.041},
                                        ThermocouplePiece{11.361, 19.739, inverse2, 0.073},
                                        ThermocouplePiece{19.739, 21.103, inverse3, 0.028}};
    static constexpr ThermocoupleBump bump{};
};

struct TypeS {
    static constexpr char letter = 'S';
    static constexpr std::array direct0{0.000000000000,     0.540313308631e-2,   0.125934289740e-4,
                                        -0.232477968689e-7, 0.322028823036e-10,  -0.331465196389e-13,
                                        0.255744251786e-16, -0.125068871393e-19, 0.271443176145e-23};
    static constexpr std::array direct1{0.132900444085e1, 0.334509311344e-2, 0.654805192818e-5,
                                        -0.164856259209e-8, 0.129989605174e-13};
    static constexpr std::array direct2{0.146628232636e3, -0.258430516752, 0.163693574641e-3,
                                        -0.330439046987e-7, -0.943223690612e-14};
    static constexpr std::tuple direct{ThermocouplePiece{-50, 1064.18, direct0},
                                       ThermocouplePiece{1064.18, 1664.5, direct1},
                                       ThermocouplePiece{1664.5, 1768.1, direct2}};
    static constexpr std::array inverse0{0.00000000,    1.84949460e2, -8.00504062e1, 1.02237430e2,
                                         -1.52248592e2, 1.88821343e2, -1.59085941e2, 8.23027880e1,
                                         -2.34181944e1, 2.79786260};
    static constexpr std::array inverse1{1.291507177e1,   1.466298863e2,  -1.534713402e1,  3.145945973,
                                         -4.163257839e-1, 3.187963771e-2, -1.291637500e-3, 2.183475087e-5,
                                         -1.447379511e-7, 8.211272125e-9};
    static constexpr std::array inverse2{-8.087801117e1, 1.621573104e2,   -8.536869453,
                                         4.719686976e-1, -1.441693666e-2, 2.081618890e-4};
    static constexpr std::array inverse3{5.333875126e4, -1.235892298e4, 1.092657613e3, -4.265693686e1,
                                         6.247205420e-1};
    static constexpr std::tuple inverse{ThermocouplePiece{-0.235, 1.874, inverse0, 0.013},
                                        ThermocouplePiece{1.874, 11.95, inverse1, 0.046},
                                        ThermocouplePiece{10.332, 17.536, inverse2, 0.075},
                                        ThermocouplePiece{17.536, 18.693, inverse3, 0.026}};
    static constexpr ThermocoupleBump bump{};
};

struct TypeB {
    static constexpr char letter = 'B';
    static constexpr std::array direct0{0.000000000000,     -0.246508183460e-3, 0.590404211710e-5,
                                        -0.132579316360e-8, 0.156682919010e-11, -0.169445292400e-14,
                                        0.629903470940e-18};
    static constexpr std::array direct1{-0.389381686210e1,   0.285717474700e-1,  -0.848851047850e-4,
                                        0.157852801640e-6,   -0.168353448640e-9, 0.111097940130e-12,
                                        -0.445154310330e-16, 0.989756408210e-20, -0.937913302890e-24};
    static constexpr std::tuple direct{ThermocouplePiece{0, 630.615, direct0},
                                       ThermocouplePiece{630.615, 1820, direct1}};
    static constexpr std::array inverse0{9.8423321e1, 6.9971500e2,  -8.4765304e2, 1.0052644e3, -8.3345952e2,
                                         4.5508542e2, -1.5523037e2, 2.9886750e1,  -2.4742860};
    static constexpr std::array inverse1{2.1315071e2,  2.8510504e2,   -5.2742887e1, 9.9160804,    -1.2965303,
                                         1.1195870e-1, -6.0625199e-3, 1.8661696e-4, -2.4878585e-6};
    static constexpr std::tuple inverse{ThermocouplePiece{0.291, 2.431, inverse0, 0.019},
                                        ThermocouplePiece{2.431, 13.82, inverse1, 0.035}};
    static constexpr ThermocoupleBump bump{};
};

}  // namespace drumwatch
