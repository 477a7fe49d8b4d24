"""The bath's filter once more, in the matrices of filterpy: an oracle for the plain floats, and their benchmark."""

import numpy as np
from filterpy.kalman import ExtendedKalmanFilter

from chemistry import bath
from chemistry.bath import events as bath_events
from chemistry.solution import sulfate, sulfuric

WATER, SALT, FACTOR, OFFSET, ACID = range(5)
MASSES = [WATER, SALT, ACID]
WATER_G_PER_L = 1000 * sulfate.water_density_g_per_ml(20)


class MatrixBath:
    """Replays baths in which all the salt is dissolved, with acid or without."""

    def __init__(self):
        self.kalman = ExtendedKalmanFilter(dim_x=5, dim_z=1)
        self.kalman.x = np.array([[0.0], [0.0], [1.0], [0.0], [0.0]])
        self.kalman.P = np.diag([0.0, 0.0, bath.FACTOR_SD**2, bath.OFFSET_SD**2, 0.0])
        self.day = 0.0
        self.prior_g_per_day = 0.0

    def replay(self, events):
        return [self.after(event) for event in events]

    def after(self, event):
        if event.day > self.day:
            self.dry(event.day - self.day)
            self.day = event.day
        DOINGS[type(event)](self, event)
        return self.kalman.x[:, 0].copy(), self.kalman.P

    def dry(self, days):
        rate = self.prior_g_per_day
        transition = np.eye(5)
        transition[WATER, FACTOR] = -rate * days
        wander = bath_events.FACTOR_SD_PER_SQRT_DAY**2
        uneven = bath_events.DRYING_SHARE_PER_SQRT_DAY * self.kalman.x[FACTOR, 0]
        noise = np.zeros((5, 5))
        noise[WATER, WATER] = rate**2 * (uneven**2 * days + wander * days**3 / 3)
        noise[WATER, FACTOR] = noise[FACTOR, WATER] = -rate * wander * days**2 / 2
        noise[FACTOR, FACTOR] = wander * days
        noise[OFFSET, OFFSET] = bath_events.OFFSET_SD_PER_SQRT_DAY**2 * days
        self.move(transition, noise)

    def move(self, transition, noise):
        self.kalman.F, self.kalman.Q = transition, noise
        self.kalman.predict()

    def add(self, water_g=0.0, salt_g=0.0, acid_g=0.0, *, ways=()):
        """ways: (change of water, of salt and of acid) by one sd of each thing not known exactly."""
        noise = np.zeros((5, 5))
        for way in ways:
            noise[np.ix_(MASSES, MASSES)] += np.outer(way, way)
        self.move(np.eye(5), noise)
        self.kalman.x[MASSES, 0] += (water_g, salt_g, acid_g)

    def mix(self, event):
        self.add(
            event.water_l * WATER_G_PER_L,
            event.salt_g * event.purity,
            ways=[(event.water_sd_l * WATER_G_PER_L, 0, 0), (0, event.salt_sd_g, 0)],
        )

    def add_water(self, event):
        sd_l = 0.02 * event.litres + 0.010
        self.add(event.litres * WATER_G_PER_L, ways=[(sd_l * WATER_G_PER_L, 0, 0)])

    def add_crystals(self, event):
        sds = (0.005 * event.grams + 1.0, 0.004 * event.grams)
        # molar masses of the CRC Handbook: 159.609 without water, 18.0154 for each
        blue = 249.686 / (159.609 + 18.0154 * event.waters)
        pure_g = event.grams * event.purity
        self.add((1 - blue) * pure_g, blue * pure_g, ways=[((1 - blue) * sd, blue * sd, 0) for sd in sds])

    def add_acid(self, event):
        share = event.percent / 100
        sd_g = 0.005 * event.grams + 1.0
        water_g, acid_g = (1 - share) * event.grams, share * event.grams
        self.add(water_g, 0.0, acid_g, ways=[((1 - share) * sd_g, 0, share * sd_g)])

    def take_out(self, event):
        sd_l = 0.1 * event.litres + 0.020 if event.sd_l is None else event.sd_l
        volume_l, gradient = self.volume(20)
        self.draw(event.litres, sd_l, volume_l, gradient[0, MASSES])

    def weigh_out(self, event):
        sd_g = 0.005 * event.grams + 1.0
        self.draw(event.grams, sd_g, self.kalman.x[MASSES, 0].sum(), np.ones(3))

    def draw(self, amount, sd, whole, gradient):
        masses = self.kalman.x[MASSES, 0].copy()
        each = masses / whole
        transition = np.eye(5)
        transition[np.ix_(MASSES, MASSES)] -= amount * (np.eye(3) / whole - np.outer(masses, gradient) / whole**2)
        noise = np.zeros((5, 5))
        noise[np.ix_(MASSES, MASSES)] = sd**2 * np.outer(each, each)
        self.move(transition, noise)
        self.kalman.x[MASSES, 0] = masses - amount * each

    def read_level(self, event):
        expected, gradient = self.volume(event.temperature_c)
        own = (gradient @ self.kalman.P @ gradient.T).item()
        before = self.kalman.P.copy()
        self.read(event.volume_l, expected, gradient, event.sd_l)
        # so much of a level's error is the same each time: the spread does not fall below it
        alike = (bath_events.LEVEL_ALIKE_SHARE * event.sd_l) ** 2
        loudness = max(event.sd_l**2, own * alike / (own - alike)) if own > alike else float("inf")
        towards = before @ gradient.T
        self.kalman.P = before - towards @ towards.T / (own + loudness)

    def read_density(self, event):
        volume_l, gradient = self.volume(event.temperature_c)
        mass_g = self.kalman.x[MASSES, 0].sum()
        by_mass = np.array([[1.0, 1.0, 0.0, 0.0, 1.0]])
        reference = 1000 * sulfate.water_density_g_per_ml(event.reference_c)
        slope = (by_mass / volume_l - mass_g * gradient / volume_l**2) / reference
        slope[0, OFFSET] = 1.0
        of_acid = 0.05 * slope[0, ACID] * self.kalman.x[ACID, 0]
        sd = (max(event.sd, 0.001) ** 2 + of_acid**2) ** 0.5
        self.read(event.sg, mass_g / volume_l / reference + self.kalman.x[OFFSET, 0], slope, sd)

    def titrate(self, event):
        volume_l, gradient = self.volume(20)
        salt_g = self.kalman.x[SALT, 0]
        molarity = salt_g / volume_l / sulfate.BLUE_CRYSTALS_G_PER_MOL
        by_salt = np.array([[0.0, 1.0, 0.0, 0.0, 0.0]])
        self.read(event.mol_per_l, molarity, molarity * (by_salt / salt_g - gradient / volume_l), event.sd)

    def titrate_acid(self, event):
        volume_l, gradient = self.volume(20)
        acid_g = self.kalman.x[ACID, 0]
        by_acid = np.array([[0.0, 0.0, 0.0, 0.0, 1.0]])
        self.read(event.g_per_l, acid_g / volume_l, by_acid / volume_l - acid_g * gradient / volume_l**2, event.sd)

    def read(self, reading, expected, gradient, sd):
        self.kalman.update(np.array([[reading]]), lambda x: gradient, lambda x: np.array([[expected]]), R=sd**2)

    def volume(self, temperature_c):
        """Volume and its gradient by the five figures."""
        water_g, salt_g, acid_g = self.kalman.x[MASSES, 0].tolist()
        mass_g = water_g + salt_g + acid_g
        # in plain floats: the matrices are measured against, not the oracle's own sums
        copper, acid = sulfate.ANHYDROUS_PER_BLUE * salt_g / mass_g, acid_g / mass_g
        ml_per_g, by_copper, by_acid = sulfuric.specific_volume(copper, acid, temperature_c)
        alone = (ml_per_g - copper * by_copper - acid * by_acid) / 1000
        by_salt, by_acid = alone + sulfate.ANHYDROUS_PER_BLUE * by_copper / 1000, alone + by_acid / 1000
        return mass_g * ml_per_g / 1000, np.array([[alone, by_salt, 0.0, 0.0, by_acid]])

    def bite(self, event):
        way = bath_events.SALT_G_PER_SQRT_AH * event.charge_ah**0.5
        in_acid = bool(self.kalman.x[ACID, 0])
        self.add(ways=[(0.0, way, -way * in_acid * sulfuric.ACID_G_PER_MOL / sulfate.BLUE_CRYSTALS_G_PER_MOL)])

    def set_rate(self, event):
        self.prior_g_per_day = event.g_per_day

    def doubt(self, event):
        self.add(ways=[(event.water_sd_l * WATER_G_PER_L, 0.0, 0.0), (0.0, event.salt_sd_g, 0.0)])


DOINGS = {
    bath.Mixed: MatrixBath.mix,
    bath.WaterAdded: MatrixBath.add_water,
    bath.CrystalsAdded: MatrixBath.add_crystals,
    bath.AcidAdded: MatrixBath.add_acid,
    bath.Removed: MatrixBath.take_out,
    bath.RemovedByWeight: MatrixBath.weigh_out,
    bath.LevelRead: MatrixBath.read_level,
    bath.DensityRead: MatrixBath.read_density,
    bath.Titrated: MatrixBath.titrate,
    bath.AcidTitrated: MatrixBath.titrate_acid,
    bath.Bitten: MatrixBath.bite,
    bath.DryingRate: MatrixBath.set_rate,
    bath.Doubted: MatrixBath.doubt,
}


def a_year_of_events(count):
    """A log of every kind of event, near enough to what a bath of 180 g/L would show that no bound is met."""
    return lived(ROUND, count)


def a_year_with_acid(count):
    """The same of a bath with 40 g/L of acid in it, fed with powder as well, weighed and titrated."""
    return lived(ACID_ROUND, count, bath.AcidAdded(day=0, grams=480, percent=96))


def lived(doings, count, *first):
    events = [
        bath.Mixed(day=0, water_l=11, salt_g=2100, water_sd_l=0.2, salt_sd_g=15, purity=0.99),
        *first,
        bath.DryingRate(day=0, g_per_day=60),
    ]
    for i in range(count - len(events)):
        events.append(doings[i % len(doings)](1.0 + i / 3))
    return events


ROUND = (
    lambda day: bath.Bitten(day=day, charge_ah=1.3),
    lambda day: bath.Removed(day=day, litres=0.006, sd_l=0.002),
    lambda day: bath.LevelRead(day=day, volume_l=11.7, sd_l=0.06, temperature_c=18),
    lambda day: bath.DensityRead(day=day, sg=1.112, temperature_c=22, reference_c=15.56),
    lambda day: bath.WaterAdded(day=day, litres=0.2),
    lambda day: bath.CrystalsAdded(day=day, grams=30, purity=0.99),
    lambda day: bath.Titrated(day=day, mol_per_l=0.72, sd=0.01),
    lambda day: bath.Removed(day=day, litres=0.1),
    lambda day: bath.DryingRate(day=day, g_per_day=40 + 20 * (day % 2)),
    lambda day: bath.Doubted(day=day, water_sd_l=0.02, salt_sd_g=3),
)

ACID_ROUND = (
    lambda day: bath.Bitten(day=day, charge_ah=1.3),
    lambda day: bath.Removed(day=day, litres=0.006, sd_l=0.002),
    lambda day: bath.LevelRead(day=day, volume_l=11.9, sd_l=0.06, temperature_c=18),
    lambda day: bath.DensityRead(day=day, sg=1.134, temperature_c=22, reference_c=15.56),
    lambda day: bath.WaterAdded(day=day, litres=0.2),
    lambda day: bath.CrystalsAdded(day=day, grams=20, purity=0.99, waters=0),
    lambda day: bath.Titrated(day=day, mol_per_l=0.72, sd=0.01),
    lambda day: bath.RemovedByWeight(day=day, grams=110),
    lambda day: bath.AcidTitrated(day=day, g_per_l=39, sd=1),
    lambda day: bath.AcidAdded(day=day, grams=9, percent=50),
    lambda day: bath.DryingRate(day=day, g_per_day=40 + 20 * (day % 2)),
    lambda day: bath.Doubted(day=day, water_sd_l=0.02, salt_sd_g=3),
)
