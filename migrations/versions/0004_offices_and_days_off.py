"""How offices give their visits, days on which nobody works, and rebates for several measures."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op


revision = '0004'
down_revision = '0003'
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table('day_off',
    sa.Column('first_on', sa.Date(), nullable=False),
    sa.Column('last_on', sa.Date(), nullable=False),
    sa.Column('what', sa.String(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_day_off'))
    )
    op.create_table('booking_rule',
    sa.Column('firm_id', sa.Integer(), nullable=False),
    sa.Column('lead_days', sa.Integer(), nullable=False),
    sa.Column('call_by', sa.String(), nullable=False),
    sa.Column('weekdays', sa.String(), nullable=False),
    sa.Column('slots', sa.String(), nullable=False),
    sa.Column('words', sa.String(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.ForeignKeyConstraint(['firm_id'], ['firm.id'], name=op.f('fk_booking_rule_firm_id_firm')),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_booking_rule')),
    sa.UniqueConstraint('firm_id', name=op.f('uq_booking_rule_firm_id'))
    )
    op.add_column('programme_choice', sa.Column('is_whole_house', sa.Boolean(), server_default='0', nullable=False))
    op.create_table('choice_measure',
    sa.Column('choice_id', sa.Integer(), nullable=False),
    sa.Column('measure_id', sa.Integer(), nullable=False),
    sa.Column('id', sa.Integer(), nullable=False),
    sa.ForeignKeyConstraint(['choice_id'], ['programme_choice.id'], name=op.f('fk_choice_measure_choice_id_programme_choice')),
    sa.ForeignKeyConstraint(['measure_id'], ['measure.id'], name=op.f('fk_choice_measure_measure_id_measure')),
    sa.PrimaryKeyConstraint('id', name=op.f('pk_choice_measure'))
    )
