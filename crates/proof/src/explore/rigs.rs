//! The bench without its program, by number: states of the plant, and beside each those of all devices apart.

use super::aside::AsideStates;
use super::interner::Interner;
use super::plant::struck;
use super::states::LANES;

/// States of devices apart that lie beside one state of the plant in a block, if there are such devices.
const BESIDE: u32 = 16;

/// Blocks of [`LANES`] states: states of the plant with consecutive numbers, and beside each the states of devices apart
/// with consecutive numbers.
pub(super) struct Rigs {
    asides: Interner<AsideStates>,
    /// How many states of devices apart lie beside one state of the plant.
    beside: u32,
    /// Without the fault, and with it.
    blocks: [Blocks; 2],
}

#[derive(Default)]
struct Blocks {
    /// Which of the states of the plant that quanta end in one is, by half its number, and the other way round: the plant numbers
    /// those between the ticks of a quantum too, and what follows from one state is to lie side by side.
    places: Vec<u32>,
    plants: Vec<u32>,
    /// By which states of devices apart, and then of the plant.
    numbers: Vec<Vec<u32>>,
    /// Which states of the plant, and of devices apart.
    values: Vec<(u32, u32)>,
}

/// The lanes of some states of the plant, each with some states of devices apart: as the lanes of the former lie as far apart as
/// there are of the latter, no bit meets another.
#[inline]
pub(super) fn product(plants: u64, asides: u64) -> u64 {
    plants.wrapping_mul(asides)
}

/// No number yet.
const NONE: u32 = u32::MAX;

impl Rigs {
    /// With devices apart, or without any.
    pub fn new(has_asides: bool) -> Rigs {
        let beside = if has_asides { BESIDE } else { 1 };
        Rigs { asides: Interner::new(), beside, blocks: Default::default() }
    }

    /// The number of the states of all devices apart.
    pub fn aside(&mut self, asides: AsideStates) -> u32 {
        self.asides.number(asides)
    }

    pub fn asides(&self, number: u32) -> AsideStates {
        *self.asides.value(number)
    }

    /// Which states of devices apart, and the lane of one beside the first state of the plant.
    pub fn aside_lane(&self, aside: u32) -> (u32, u64) {
        (aside / self.beside, 1 << (aside % self.beside))
    }

    /// Which states of the plant, and the lane of one with the first states of devices apart.
    pub fn plant_lane(&mut self, plant: u32) -> (u32, u64) {
        let (n, plants) = (self.blocks[usize::from(struck(plant))].place(plant), LANES / self.beside);
        (n / plants, 1 << (n % plants * self.beside))
    }

    /// The block of some states of the plant with some of devices apart, without the fault or with it.
    #[inline]
    pub fn block(&mut self, half: usize, plants: u32, asides: u32) -> u32 {
        let blocks = &mut self.blocks[half];
        match blocks.numbers.get(asides as usize).and_then(|all| all.get(plants as usize)) {
            Some(&block) if block != NONE => block,
            _ => blocks.add(plants, asides),
        }
    }

    /// The block and lane of a state.
    pub fn lane(&mut self, plant: u32, aside: u32) -> (u32, u64) {
        let ((plants, bits), (asides, lanes)) = (self.plant_lane(plant), self.aside_lane(aside));
        (self.block(usize::from(struck(plant)), plants, asides), product(bits, lanes))
    }

    /// The state of the plant, and the number of those of devices apart, in a lane of a block.
    #[inline]
    pub fn rig(&self, half: usize, block: u32, lane: u32) -> (u32, u32) {
        let (plants, asides) = self.blocks[half].values[block as usize];
        let place = plants * (LANES / self.beside) + lane / self.beside;
        (self.blocks[half].plants[place as usize], asides * self.beside + lane % self.beside)
    }

    pub fn forget_struck(&mut self) {
        self.blocks[1] = Blocks::default();
    }

    /// Bytes that they take.
    pub fn bytes(&self) -> usize {
        let of = |blocks: &Blocks| {
            let numbers: usize = blocks.numbers.iter().map(Vec::capacity).sum();
            let numbers = numbers + blocks.places.capacity() + blocks.plants.capacity();
            numbers * size_of::<u32>() + blocks.values.capacity() * size_of::<(u32, u32)>()
        };
        self.asides.bytes() + self.blocks.iter().map(of).sum::<usize>()
    }
}

impl Blocks {
    fn place(&mut self, plant: u32) -> u32 {
        let n = plant as usize / 2;
        self.places.resize(self.places.len().max(n + 1), NONE);
        if self.places[n] == NONE {
            self.places[n] = self.plants.len() as u32;
            self.plants.push(plant);
        }
        self.places[n]
    }

    #[cold]
    fn add(&mut self, plants: u32, asides: u32) -> u32 {
        let most = self.numbers.len().max(asides as usize + 1);
        self.numbers.resize_with(most, Vec::new);
        let numbers = &mut self.numbers[asides as usize];
        numbers.resize(numbers.len().max(plants as usize + 1), NONE);
        numbers[plants as usize] = self.values.len() as u32;
        self.values.push((plants, asides));
        numbers[plants as usize]
    }
}
