// The draws of the risk: random bits and the normal quantile.

#include <gtest/gtest.h>

#include <array>
#include <cinttypes>
#include <cmath>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

#include "ramp/normal_quantile.hpp"
#include "ramp/philox.hpp"

namespace slowdawn {
namespace {

struct KnownAnswer {
  const char* name;
  PhiloxBlock counter;
  PhiloxKey key;
  PhiloxBlock bits;
};

constexpr std::uint64_t ones = ~std::uint64_t{0};

// source: READ, the lines "philox4x64 10" of kat_vectors of Random123, the package
//   of Salmon et al. 2011.
const std::vector<KnownAnswer> known_answers{
    {"zeros",
     {0, 0, 0, 0},
     {0, 0},
     {0x16554d9eca36314c, 0xdb20fe9d672d0fdc, 0xd7e772cee186176b, 0x7e68b68aec7ba23b}},
    {"ones",
     {ones, ones, ones, ones},
     {ones, ones},
     {0x87b092c3013fe90b, 0x438c3c67be8d0224, 0x9cc7d7c69cd777b6, 0xa09caebf594f0ba0}},
    {"digits of pi",
     {0x243f6a8885a308d3, 0x13198a2e03707344, 0xa4093822299f31d0, 0x082efa98ec4e6c89},
     {0x452821e638d01377, 0xbe5466cf34e90c6c},
     {0xa528f45403e61d95, 0x38c72dbd566e9788, 0xa5a1610e72fd18b5, 0x57bd43b5e52b7fe6}},
};

TEST(PublishedRiskDraws, PhiloxGivesTheKnownAnswers) {
  for (const KnownAnswer& known : known_answers) {
    EXPECT_EQ(philox4x64(known.counter, known.key), known.bits) << known.name;
  }
}

std::string output_of(const std::string& command) {
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe{popen(command.c_str(), "r"), pclose};
  std::string text;
  std::array<char, 4096> part;
  while (std::fgets(part.data(), part.size(), pipe.get()) != nullptr) text += part.data();
  return text;
}

std::string python_says(const std::string& program) {
  std::string command = SLOWDAWN_PYTHON " -B -c \"";
  command += program;
  command += '"';
  return output_of(command);
}

bool has_scipy() { return python_says("import scipy; print('there')") == "there\n"; }

constexpr const char* ask_numpy =
    "import numpy\n"
    "for key in (0, 1, 12345, 2**64 - 1, 2**127 + 77):\n"
    "  for counter in (0, 1, 2**64 - 2, 3 * 2**64 + 5, 7 * 2**192 + 2**128 + 9):\n"
    // It counts on before it draws, so that the bits are of the next counter.
    "    made = numpy.random.Philox(key=key, counter=counter).random_raw(4)\n"
    "    words = [(counter + 1) >> 64 * i & 2**64 - 1 for i in range(4)]\n"
    "    words += [key >> 64 * i & 2**64 - 1 for i in range(2)]\n"
    "    print(*('%x' % int(word) for word in [*words, *made]))\n";

TEST(PublishedRiskDraws, PhiloxGivesTheBitsOfAnotherLibrary) {
  if (!has_scipy()) GTEST_SKIP() << "python3-scipy is not installed";
  const std::string text = python_says(ask_numpy);
  std::array<std::uint64_t, 10> words{};
  int rows = 0;
  for (const char* at = text.c_str(); *at != '\0'; ++rows) {
    for (std::uint64_t& word : words) {
      int length = 0;
      ASSERT_EQ(std::sscanf(at, "%" SCNx64 " %n", &word, &length), 1) << at;
      at += length;
    }
    const PhiloxBlock made =
        philox4x64({words[0], words[1], words[2], words[3]}, {words[4], words[5]});
    for (std::size_t i = 0; i < made.size(); ++i)
      EXPECT_EQ(made[i], words[6 + i]) << "row " << rows;
  }
  EXPECT_EQ(rows, 25);
}

TEST(PublishedRiskDraws, SharesLieInsideTheUnitIntervalAndEvenAroundOneHalf) {
  EXPECT_GT(to_open_share(0), 0.0);
  EXPECT_LT(to_open_share(ones), 1.0);
  EXPECT_EQ(to_open_share(0), 1.0 - to_open_share(ones));
}

constexpr const char* ask_scipy =
    "import numpy, scipy.special\n"
    "shares = numpy.concatenate([numpy.linspace(0.0005, 0.9995, 1999), 10.0**-numpy.arange(4, 300, "
    "7),\n"
    "  1 - 2.0**-numpy.arange(10, 53), [0.075, 0.925, 0.5, numpy.exp(-25), 2.0**-54]])\n"
    "for share in shares: print(repr(float(share)), repr(float(scipy.special.ndtri(share))))\n";

TEST(PublishedRiskDraws, QuantileAgreesWithAnotherLibrary) {
  if (!has_scipy()) GTEST_SKIP() << "python3-scipy is not installed";
  const std::string text = python_says(ask_scipy);
  int rows = 0;
  for (const char* at = text.c_str(); *at != '\0'; ++rows) {
    double share = 0.0;
    double quantile = 0.0;
    int length = 0;
    ASSERT_EQ(std::sscanf(at, "%lf %lf\n%n", &share, &quantile, &length), 2) << at;
    at += length;
    // Both claim about 1e-15; the other one's error near 1/2 is absolute.
    EXPECT_NEAR(normal_quantile(share), quantile, 4e-15 * std::max(1.0, std::abs(quantile)))
        << share;
  }
  EXPECT_EQ(rows, 1999 + 43 + 43 + 5);
}

}  // namespace
}  // namespace slowdawn
