"""Thermal bridges of a face, the horizon of the site."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op


revision = '0002'
down_revision = '0001'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('horizon_point',
    sa.Column('azimuth_deg', sa.Double(), nullable=False),
    sa.Column('altitude_deg', sa.Double(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_horizon_point')),
    sa.UniqueConstraint('azimuth_deg', name=op.f('uq_horizon_point_azimuth_deg'))
    )
    op.create_table('thermal_bridge',
    sa.Column('surface_id', sa.Integer(), nullable=False),
    sa.Column('name', sa.String(), nullable=False),
    sa.Column('length_m', sa.Double(), nullable=False),
    sa.Column('psi_w_mk', sa.Double(), nullable=False),
    sa.Column('source', sa.String(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.ForeignKeyConstraint(['surface_id'], ['surface.id'], name=op.f('fk_thermal_bridge_surface_id_surface')),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_thermal_bridge'))
    )
