// The published coefficients of types K, J, T, E and N, digit for digit: G. W. Burns et al., NIST Monograph
// 175 (1993), as reproduced by NIST Standard Reference Database 60. tests/reference/thermocouple/ holds them
// against its copy of the source. For thermocouple.cpp and its tests only.
#pragma once

#include <tuple>

#include "drivers/sensors/thermocouple_pieces.hpp"

namespace drumwatch {

struct TypeK {
    static constexpr char letter = 'K';
    static constexpr std::array direct0{0.000000000000,      0.394501280250e-1,   0.236223735980e-4,
                                        -0.328589067840e-6,  -0.499048287770e-8,  -0.675090591730e-10,
                                        -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16,
                                        -0.198892668780e-19, -0.163226974860e-22};
    static constexpr std::array direct1{-0.176004136860e-1, 0.389212049750e-1,   0.185587700320e-4,
                                        -0.994575928740e-7, 0.318409457190e-9,   -0.560728448890e-12,
                                        0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22,
                                        -0.121047212750e-25};
    static constexpr std::tuple direct{ThermocouplePiece{-270, 0, direct0},
                                       ThermocouplePiece{0, 1372, direct1}};
    static constexpr std::array inverse0{0.0000000,     2.5173462e1,   -1.1662878,
                                         -1.0833638,    -8.9773540e-1, -3.7342377e-1,
                                         -8.6632643e-2, -1.0450598e-2, -5.1920577e-4};
    static constexpr std::array inverse1{0.000000,     2.508355e1,  7.860106e-2,  -2.503131e-1, 8.315270e-2,
                                         -1.228034e-2, 9.804036e-4, -4.413030e-5, 1.057734e-6,  -1.052755e-8};
    static constexpr std::array inverse2{-1.318058e2,  4.830222e1,  -1.646031,   5.464731e-2,
                                         -9.650715e-4, 8.802193e-6, -3.110810e-8};
    static constexpr std::tuple inverse{ThermocouplePiece{-5.891, 0, inverse0, 0.011},
                                        ThermocouplePiece{0, 20.644, inverse1, 0.036},
                                        ThermocouplePiece{20.644, 54.886, inverse2, 0.059}};
    static constexpr ThermocoupleBump bump{0.1185976, -1.183432e-4, 126.9686};
};

struct TypeJ {
    static constexpr char letter = 'J';
    static constexpr std::array direct0{0.000000000000,     0.503811878150e-1,   0.304758369300e-4,
                                        -0.856810657200e-7, 0.132281952950e-9,   -0.170529583370e-12,
                                        0.209480906970e-15, -0.125383953360e-18, 0.156317256970e-22};
    static constexpr std::array direct1{0.296456256810e3,   -0.149761277860e1, 0.317871039240e-2,
                                        -0.318476867010e-5, 0.157208190040e-8, -0.306913690560e-12};
    static constexpr std::tuple direct{ThermocouplePiece{-210, 760, direct0},
                                       ThermocouplePiece{760, 1200, direct1}};
    static constexpr std::array inverse0{0.0000000,     1.9528268e1,   -1.2286185,
                                         -1.0752178,    -5.9086933e-1, -1.7256713e-1,
                                         -2.8131513e-2, -2.3963370e-3, -8.3823321e-5};
    static constexpr std::array inverse1{0.000000,     1.978425e1,  -2.001204e-1, 1.036969e-2,
                                         -2.549687e-4, 3.585153e-6, -5.344285e-8, 5.099890e-10};
    static constexpr std::array inverse2{-3.11358187e3, 3.00543684e2,   -9.94773230,
                                         1.70276630e-1, -1.43033468e-3, 4.73886084e-6};
    static constexpr std::tuple inverse{ThermocouplePiece{-8.095, 0, inverse0, 0.01},
                                        ThermocouplePiece{0, 42.919, inverse1, 0.036},
                                        ThermocouplePiece{42.919, 69.553, inverse2, 0.053}};
    static constexpr ThermocoupleBump bump{};
};

struct TypeT {
    static constexpr char letter = 'T';
    static constexpr std::array direct0{
        0.000000000000,     0.387481063640e-1,  0.441944343470e-4,  0.118443231050e-6,  0.200329735540e-7,
        0.901380195590e-9,  0.226511565930e-10, 0.360711542050e-12, 0.384939398830e-14, 0.282135219250e-16,
        0.142515947790e-18, 0.487686622860e-21, 0.107955392700e-23, 0.139450270620e-26, 0.797951539270e-30};
    static constexpr std::array direct1{0.000000000000,      0.387481063640e-1,  0.332922278800e-4,
                                        0.206182434040e-6,   -0.218822568460e-8, 0.109968809280e-10,
                                        -0.308157587720e-13, 0.454791352900e-16, -0.275129016730e-19};
    static constexpr std::tuple direct{ThermocouplePiece{-270, 0, direct0},
                                       ThermocouplePiece{0, 400, direct1}};
    static constexpr std::array inverse0{0.0000000,    2.5949192e1,  -2.1316967e-1, 7.9018692e-1,
                                         4.2527777e-1, 1.3304473e-1, 2.0241446e-2,  1.2668171e-3};
    static constexpr std::array inverse1{0.000000,     2.592800e1,  -7.602961e-1, 4.637791e-2,
                                         -2.165394e-3, 6.048144e-5, -7.293422e-7};
    static constexpr std::tuple inverse{ThermocouplePiece{-5.603, 0, inverse0, 0.013},
                                        ThermocouplePiece{0, 20.872, inverse1, 0.026}};
    static constexpr ThermocoupleBump bump{};
};

struct TypeE {
    static constexpr char letter = 'E';
    static constexpr std::array direct0{0.000000000000,      0.586655087080e-1,   0.454109771240e-4,
                                        -0.779980486860e-6,  -0.258001608430e-7,  -0.594525830570e-9,
                                        -0.932140586670e-11, -0.102876055340e-12, -0.803701236210e-15,
                                        -0.439794973910e-17, -0.164147763550e-19, -0.396736195160e-22,
                                        -0.558273287210e-25, -0.346578420130e-28};
    static constexpr std::array direct1{0.000000000000,      0.586655087100e-1,   0.450322755820e-4,
                                        0.289084072120e-7,   -0.330568966520e-9,  0.650244032700e-12,
                                        -0.191974955040e-15, -0.125366004970e-17, 0.214892175690e-20,
                                        -0.143880417820e-23, 0.359608994810e-27};
    static constexpr std::tuple direct{ThermocouplePiece{-270, 0, direct0},
                                       ThermocouplePiece{0, 1000, direct1}};
    static constexpr std::array inverse0{0.0000000,     1.6977288e1,   -4.3514970e-1,
                                         -1.5859697e-1, -9.2502871e-2, -2.6084314e-2,
                                         -4.1360199e-3, -3.4034030e-4, -1.1564890e-5};
    static constexpr std::array inverse1{0.0000000,     1.7057035e1,   -2.3301759e-1, 6.5435585e-3,
                                         -7.3562749e-5, -1.7896001e-6, 8.4036165e-8,  -1.3735879e-9,
                                         1.0629823e-11, -3.2447087e-14};
    static constexpr std::tuple inverse{ThermocouplePiece{-8.825, 0, inverse0, 0.012},
                                        ThermocouplePiece{0, 76.373, inverse1, 0.032}};
    static constexpr ThermocoupleBump bump{};
};

struct TypeN {
    static constexpr char letter = 'N';
    static constexpr std::array direct0{0.000000000000,      0.261591059620e-1,   0.109574842280e-4,
                                        -0.938411115540e-7,  -0.464120397590e-10, -0.263033577160e-11,
                                        -0.226534380030e-13, -0.760893007910e-16, -0.934196678350e-19};
    static constexpr std::array direct1{0.000000000000,      0.259293946010e-1,  0.157101418800e-4,
                                        0.438256272370e-7,   -0.252611697940e-9, 0.643118193390e-12,
                                        -0.100634715190e-14, 0.997453389920e-18, -0.608632456070e-21,
                                        0.208492293390e-24,  -0.306821961510e-28};
    static constexpr std::tuple direct{ThermocouplePiece{-270, 0, direct0},
                                       ThermocouplePiece{0, 1300, direct1}};
    static constexpr std::array inverse0{0.0000000, 3.8436847e1, 1.1010485,    5.2229312,    7.2060525,
                                         5.8488586, 2.7754916,   7.7075166e-1, 1.1582665e-1, 7.3138868e-3};
    static constexpr std::array inverse1{0.00000,     3.86896e1,   -1.08267,   4.70205e-2,
                                         -2.12169e-6, -1.17272e-4, 5.39280e-6, -7.98156e-8};
    static constexpr std::array inverse2{1.972485e1,  3.300943e1,   -3.915159e-1,
                                         9.855391e-3, -1.274371e-4, 7.767022e-7};
    static constexpr std::tuple inverse{ThermocouplePiece{-3.99, 0, inverse0, 0.01},
                                        ThermocouplePiece{0, 20.613, inverse1, 0.033},
                                        ThermocouplePiece{20.613, 47.513, inverse2, 0.058}};
    static constexpr ThermocoupleBump bump{};
};

}  // namespace drumwatch
