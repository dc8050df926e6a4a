#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/light/water_surface.hpp>

namespace slowdawn {
namespace {

Origin make_origin(double depth_m, SeaWater water = WaterType::II) {
  return {.latitude = Latitude::degrees(-20),
          .days = {246},
          .depth = Depth::m(depth_m),
          .water = water,
          .cloud_share = 0.3,
          .cloud_error = known_cloud_error};
}

OriginLight light_of(const Origin& origin) {
  const auto light = compute_origin(origin);
  if (!light) throw std::runtime_error(light.error().what);
  return *light;
}

TEST(Sunlight, DoseIsTheCourseOfTheDayAddedUp) {
  // A clear day by small steps of its own course: clear noon by the sine of the height.
  const SunDay day{Latitude::degrees(-20), 246};
  const Sunlight light = compute_sunlight(Latitude::degrees(-20), 246, 0.0);
  double dose = 0.0;
  constexpr int seconds = 10;
  for (int second = seconds / 2; second < 86400; second += seconds) {
    const double sine = day.sine_of_height(Angle::degrees(second / 240.0 - 180.0));
    if (sine <= 0) continue;
    dose += light.clear_noon.umol_m2_s() * sine / day.sine_of_noon_height() * seconds * 1e-6;
  }
  EXPECT_NEAR(dose, light.dose.mol_m2_d(), 1e-5);
}

TEST(Sunlight, CloudsTakeFromTheDoseAndNotFromTheClearNoon) {
  const Sunlight clear = compute_sunlight(Latitude::degrees(10), 100, 0.0);
  const Sunlight clouded = compute_sunlight(Latitude::degrees(10), 100, 0.5);
  const Sunlight overcast = compute_sunlight(Latitude::degrees(10), 100, 1.0);
  EXPECT_EQ(clear.clear_noon, clouded.clear_noon);
  EXPECT_NEAR(clouded.dose / clear.dose, 0.50 / 0.75, 1e-12);
  EXPECT_NEAR(overcast.dose / clear.dose, 0.25 / 0.75, 1e-12);
  EXPECT_EQ(clear.sunlit_share_of_dose, 1.0);
  EXPECT_EQ(overcast.sunlit_share_of_dose, 0.0);
  EXPECT_NEAR(clouded.sunlit_share_of_dose, 0.5 * 0.75 / 0.50, 1e-12);
}

TEST(Origin, DimsWithDepthByTheWaterAlone) {
  const OriginLight top = light_of(make_origin(0));
  EXPECT_EQ(top.left_at_depth, 1.0);
  EXPECT_FALSE(top.attenuation);
  for (const SeaWater water : {SeaWater{WaterType::II}, SeaWater{Attenuation::per_m(0.08)}}) {
    for (const double depth : {1.0, 3.0, 20.0, 100.0}) {
      const OriginLight light = light_of(make_origin(depth, water));
      EXPECT_NEAR(light.dose / top.dose, share_left(water, Depth::m(depth)), 1e-12);
      EXPECT_NEAR(light.peak / top.peak, light.left_at_depth, 1e-12);
      EXPECT_NEAR(light.passes_surface, top.passes_surface, 1e-12);
    }
  }
  EXPECT_NEAR(light_of(make_origin(7, Attenuation::per_m(0.08))).attenuation->per_m(), 0.08, 1e-12);
}

TEST(Origin, SurfaceLetsPassBetweenSkyAndZenithSun) {
  const OriginLight light = light_of(make_origin(0));
  EXPECT_LT(light.passes_surface, 1.0 - surface_reflectance(Angle{}));
  EXPECT_GT(light.passes_surface, 1.0 - sky_reflectance());
  Origin overcast = make_origin(0);
  overcast.cloud_share = 1.0;
  EXPECT_NEAR(light_of(overcast).passes_surface, 1.0 - sky_reflectance(), 1e-12);
  // The peak is a clear noon: Fresnel at 90 degrees less the sun's height.
  const SunDay day{Latitude::degrees(-20), 246};
  const Angle from_upright = Angle::radians(std::acos(day.sine_of_noon_height()));
  const Ppfd above = compute_sunlight(Latitude::degrees(-20), 246, 0.0).clear_noon;
  EXPECT_NEAR(light.peak / above, 1.0 - surface_reflectance(from_upright), 1e-12);
}

TEST(Origin, LowSunsLoseMoreAtTheSurface) {
  Origin high = make_origin(0);
  high.cloud_share = 0.0;
  Origin low = high;
  low.latitude = Latitude::degrees(50);
  low.days = {355};
  EXPECT_LT(light_of(low).passes_surface, light_of(high).passes_surface - 0.02);
}

TEST(Origin, SeasonIsTheMeanOfItsDays) {
  Origin origin = make_origin(3);
  const OriginLight a = light_of(origin);
  origin.days = {355};
  const OriginLight b = light_of(origin);
  origin.days = {246, 355};
  const OriginLight both = light_of(origin);
  EXPECT_NEAR(both.dose.mol_m2_d(), 0.5 * (a.dose + b.dose).mol_m2_d(), 1e-12);
  EXPECT_NEAR(both.peak.umol_m2_s(), 0.5 * (a.peak + b.peak).umol_m2_s(), 1e-9);
  EXPECT_NEAR(both.day_length.h(), 0.5 * (a.day_length + b.day_length).h(), 1e-12);
  EXPECT_EQ(both.lowest_dose, a.dose);
  EXPECT_EQ(both.highest_dose, b.dose);
}

TEST(Origin, ErrorGrowsWithOpticalDepthAndWithAGuess) {
  const OriginLight shallow = light_of(make_origin(1));
  const OriginLight deep = light_of(make_origin(20));
  EXPECT_GT(deep.log_error, 1.5 * shallow.log_error);
  EXPECT_NEAR(deep.error.water, water_type_error * -std::log(deep.left_at_depth), 1e-12);
  const OriginLight measured = light_of(make_origin(20, Attenuation::per_m(0.08)));
  EXPECT_NEAR(measured.error.water, measured_kd_error * 0.08 * 20, 1e-12);
  Origin guess = make_origin(20);
  guess.water_is_guess = true;
  EXPECT_NEAR(light_of(guess).error.water, 2 * deep.error.water, 1e-12);
  guess = make_origin(1);
  guess.cloud_error = guessed_cloud_error;
  EXPECT_NEAR(light_of(guess).error.cloud, 2 * shallow.error.cloud, 1e-12);
  // A cloud share that is off by its error moves the dose by about that much.
  Origin clearer = make_origin(1);
  clearer.cloud_share -= known_cloud_error;
  EXPECT_NEAR(std::log(light_of(clearer).dose / shallow.dose), shallow.error.cloud, 0.01);
  const OriginError& error = shallow.error;
  EXPECT_NEAR(
      shallow.log_error,
      std::sqrt(error.sky * error.sky + error.photons * error.photons + error.cloud * error.cloud +
                error.surface * error.surface + error.water * error.water),
      1e-15);
}

TEST(Origin, ErrorOfAWaterTypeIsAboutThatOfTheNeighbours) {
  double sum = 0.0;
  for (std::size_t i = 1; i < water_types.size(); ++i) {
    const auto kd_of = [](const NamedWaterType& type) {
      return attenuation_between(type.type, Depth{}, Depth::m(10)).per_m();
    };
    const double step = kd_of(water_types[i]) / kd_of(water_types[i - 1]) - 1.0;
    EXPECT_GT(step, 0.065);
    EXPECT_LT(step, 0.40);
    sum += step;
  }
  EXPECT_NEAR(sum / 7, water_type_error, 0.05);
}

TEST(Origin, PolarNightIsAFault) {
  Origin origin = make_origin(3);
  origin.latitude = Latitude::degrees(75);
  origin.days = {172, 355};
  EXPECT_FALSE(compute_origin(origin));
  origin.days = {172};
  EXPECT_TRUE(compute_origin(origin));
  origin.days.clear();
  EXPECT_FALSE(compute_origin(origin));
}

TEST(SeaWater, NamesAreThereAndBackAgain) {
  for (const NamedWaterType& type : water_types) {
    EXPECT_EQ(find_water_type(name_of(type.type)), type.type);
  }
  EXPECT_EQ(find_water_type("IV"), std::nullopt);
}

TEST(SeaWater, RedIsLostFirst) {
  const SeaWater water = WaterType::IB;
  const double shallow = attenuation_between(water, Depth{}, Depth::m(1)).per_m();
  const double deep = attenuation_between(water, Depth::m(20), Depth::m(21)).per_m();
  EXPECT_GT(shallow, 2.0 * deep);
  EXPECT_THROW(attenuation_at(WaterType::I, Wavelength::nm(399)), std::invalid_argument);
}

TEST(SeaWater, IsAsMurkyBetweenTwoDepthsAsFromTheSurface) {
  for (const double kd : {0.04, 0.1, 0.7}) {
    const SeaWater water = Attenuation::per_m(kd);
    const Attenuation deep = attenuation_between(water, Depth::m(20), Depth::m(21));
    EXPECT_NEAR(deep.per_m(), kd, 1e-12);
    EXPECT_NEAR(attenuation_between(water, Depth::m(3), Depth::m(21)).per_m(), kd, 1e-12);
  }
  // Of a water with a spectrum, the shares of two layers are that of both.
  for (const NamedWaterType& type : water_types) {
    const auto dimmed = [&](double from, double to) {
      return attenuation_between(type.type, Depth::m(from), Depth::m(to)).per_m() * (to - from);
    };
    EXPECT_NEAR(dimmed(0.0, 5.0) + dimmed(5.0, 8.0), dimmed(0.0, 8.0), 1e-12) << type.name;
    EXPECT_LT(dimmed(5.0, 6.0), dimmed(0.0, 1.0)) << type.name;
  }
}

}  // namespace
}  // namespace slowdawn
