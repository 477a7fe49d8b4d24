"""The bath's filter once more, in the matrices of filterpy: an oracle for the plain floats, and their benchmark."""

import numpy as np
from filterpy.kalman import ExtendedKalmanFilter

from chemistry import bath
from chemistry.bath import events as bath_events
from chemistry.solution import sulfate

WATER, SALT, FACTOR, OFFSET = range(4)
WATER_G_PER_L = 1000 * sulfate.water_density_g_per_ml(20)


class MatrixBath:
    """Replays baths in which all the salt is dissolved."""

    def __init__(self):
        self.kalman = ExtendedKalmanFilter(dim_x=4, dim_z=1)
        self.kalman.x = np.array([[0.0], [0.0], [1.0], [0.0]])
        self.kalman.P = np.diag([0.0, 0.0, bath.FACTOR_SD**2, bath.OFFSET_SD**2])
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
        transition = np.eye(4)
        transition[WATER, FACTOR] = -rate * days
        wander = bath_events.FACTOR_SD_PER_SQRT_DAY**2
        uneven = bath_events.DRYING_SHARE_PER_SQRT_DAY * self.kalman.x[FACTOR, 0]
        noise = np.zeros((4, 4))
        noise[WATER, WATER] = rate**2 * (uneven**2 * days + wander * days**3 / 3)
        noise[WATER, FACTOR] = noise[FACTOR, WATER] = -rate * wander * days**2 / 2
        noise[FACTOR, FACTOR] = wander * days
        noise[OFFSET, OFFSET] = bath_events.OFFSET_SD_PER_SQRT_DAY**2 * days
        self.move(transition, noise)

    def move(self, transition, noise):
        self.kalman.F, self.kalman.Q = transition, noise
        self.kalman.predict()

    def add(self, water_g=0.0, salt_g=0.0, *, ways=()):
        """ways: (change of water, change of salt) by one sd of each thing not known exactly."""
        noise = np.zeros((4, 4))
        for way in ways:
            noise[:2, :2] += np.outer(way, way)
        self.move(np.eye(4), noise)
        self.kalman.x[WATER, 0] += water_g
        self.kalman.x[SALT, 0] += salt_g

    def mix(self, event):
        self.add(
            event.water_l * WATER_G_PER_L,
            event.salt_g * event.purity,
            ways=[(event.water_sd_l * WATER_G_PER_L, 0), (0, event.salt_sd_g)],
        )

    def add_water(self, event):
        sd_l = 0.02 * event.litres + 0.010
        self.add(event.litres * WATER_G_PER_L, 0.0, ways=[(sd_l * WATER_G_PER_L, 0.0)])

    def add_crystals(self, event):
        self.add(0.0, event.grams * event.purity, ways=[(0.0, 0.005 * event.grams + 1.0), (0.0, 0.004 * event.grams)])

    def take_out(self, event):
        sd_l = 0.1 * event.litres + 0.020 if event.sd_l is None else event.sd_l
        volume_l, gradient = self.volume(20)
        masses = self.kalman.x[:2, 0].copy()
        per_litre = masses / volume_l
        transition = np.eye(4)
        transition[:2, :2] -= event.litres * (np.eye(2) / volume_l - np.outer(masses, gradient[0, :2]) / volume_l**2)
        noise = np.zeros((4, 4))
        noise[:2, :2] = sd_l**2 * np.outer(per_litre, per_litre)
        self.move(transition, noise)
        self.kalman.x[:2, 0] = masses - event.litres * per_litre

    def read_level(self, event):
        self.read(event.volume_l, *self.volume(event.temperature_c), event.sd_l)

    def read_density(self, event):
        density, slope, fraction = self.density(event.temperature_c)
        reference = sulfate.water_density_g_per_ml(event.reference_c)
        gradient = slope / reference * fraction
        gradient[0, OFFSET] = 1.0
        self.read(event.sg, density / reference + self.kalman.x[OFFSET, 0], gradient, max(event.sd, 0.001))

    def titrate(self, event):
        volume_l, gradient = self.volume(20)
        salt_g = self.kalman.x[SALT, 0]
        molarity = salt_g / volume_l / sulfate.BLUE_CRYSTALS_G_PER_MOL
        by_salt = np.array([[0.0, 1.0, 0.0, 0.0]])
        self.read(event.mol_per_l, molarity, molarity * (by_salt / salt_g - gradient / volume_l), event.sd)

    def read(self, reading, expected, gradient, sd):
        self.kalman.update(np.array([[reading]]), lambda x: gradient, lambda x: np.array([[expected]]), R=sd**2)

    def density(self, temperature_c):
        """Density, its slope by mass fraction, and the mass fraction's gradient by the four figures."""
        water_g, salt_g = self.kalman.x[:2, 0]
        mass_g = water_g + salt_g
        fraction = sulfate.ANHYDROUS_PER_BLUE * salt_g / mass_g
        density, slope = sulfate.density_and_slope(fraction, temperature_c)
        gradient = np.array([[-fraction, sulfate.ANHYDROUS_PER_BLUE - fraction, 0.0, 0.0]]) / mass_g
        return density, slope, gradient

    def volume(self, temperature_c):
        mass_g = self.kalman.x[:2, 0].sum()
        density, slope, fraction = self.density(temperature_c)
        by_mass = np.array([[1.0, 1.0, 0.0, 0.0]])
        return mass_g / density / 1000, (by_mass - mass_g * slope / density * fraction) / density / 1000

    def bite(self, event):
        self.add(ways=[(0.0, bath_events.SALT_G_PER_SQRT_AH * event.charge_ah**0.5)])

    def set_rate(self, event):
        self.prior_g_per_day = event.g_per_day

    def doubt(self, event):
        self.add(ways=[(event.water_sd_l * WATER_G_PER_L, 0.0), (0.0, event.salt_sd_g)])


DOINGS = {
    bath.Mixed: MatrixBath.mix,
    bath.WaterAdded: MatrixBath.add_water,
    bath.CrystalsAdded: MatrixBath.add_crystals,
    bath.Removed: MatrixBath.take_out,
    bath.LevelRead: MatrixBath.read_level,
    bath.DensityRead: MatrixBath.read_density,
    bath.Titrated: MatrixBath.titrate,
    bath.Bitten: MatrixBath.bite,
    bath.DryingRate: MatrixBath.set_rate,
    bath.Doubted: MatrixBath.doubt,
}


def a_year_of_events(count):
    """A log of every kind of event, near enough to what a bath of 180 g/L would show that no bound is met."""
    events = [
        bath.Mixed(day=0, water_l=11, salt_g=2100, water_sd_l=0.2, salt_sd_g=15, purity=0.99),
        bath.DryingRate(day=0, g_per_day=60),
    ]
    for i in range(count - len(events)):
        events.append(ROUND[i % len(ROUND)](1.0 + i / 3))
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
